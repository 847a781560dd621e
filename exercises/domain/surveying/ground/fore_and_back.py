"""The surveyors' rule of local attraction: a line whose fore and back bearing differ by 180 degrees
has two ends free of it, and from there corrections are carried along the lines.

Source: Punmia, Surveying vol. I, The Compass; checked on four published traverses in
tests/domain/test_attraction.py.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ...earth.angles import back, circular_mean, difference
from .sighting import Sighting

# fore and back within this of 180 degrees: two readings of one degree each, 1.4 sigma; common
# practice, no source
AGREES_DEG = 2.0


@dataclass(frozen=True)
class Pair:
    """Fore and back bearing of a line, means where there are several, and by how much they differ
    from 180 degrees apart: back minus (fore plus 180).
    """

    start: str
    end: str
    fore_deg: float
    back_deg: float

    @property
    def disagreement_deg(self) -> float:
        """Zero for two ends that bend the needle alike, or not at all."""
        return difference(self.back_deg, back(self.fore_deg))

    @property
    def agrees(self) -> bool:
        """Whether both ends are free by the rule."""
        return abs(self.disagreement_deg) <= AGREES_DEG


def pairs(sightings: Iterable[Sighting]) -> Iterator[Pair]:
    """The lines that were sighted from both ends, as `Pair`, in the order of their first
    sighting.
    """
    read: dict[tuple[str, str], list[float]] = defaultdict(list)
    for sighting in sightings:
        if sighting.target:
            read[sighting.station, sighting.target].append(sighting.bearing_deg)
    done: set[tuple[str, str]] = set()
    for (start, end), fores in read.items():
        backs = read.get((end, start))
        if backs and (end, start) not in done:
            done.add((start, end))
            fore_deg, back_deg = circular_mean(fores), circular_mean(backs)
            # two readings that point opposite ways have no mean
            if fore_deg is not None and back_deg is not None:
                yield Pair(start, end, fore_deg, back_deg)


def carried(lines: Iterable[Pair], agrees_deg: float = AGREES_DEG) -> dict[str, float]:
    """Corrections in degrees by station, carried along `Pair`s from lines that agree; to be added
    to what is read there. Empty when none agrees.

    Lines are walked in their order, breadth first; a station that is reached keeps its first
    correction.
    """
    pairs_in_order = list(lines)
    free = {
        end
        for line in pairs_in_order
        if abs(line.disagreement_deg) <= agrees_deg
        for end in (line.start, line.end)
    }
    corrections, waiting = dict.fromkeys(sorted(free), 0.0), deque(sorted(free))
    while waiting:
        here = waiting.popleft()
        for line in pairs_in_order:
            # right fore + 180 = right back; each right bearing is what was read plus its station's
            # correction
            if line.start == here and line.end not in corrections:
                corrections[line.end] = corrections[here] - line.disagreement_deg
                waiting.append(line.end)
            elif line.end == here and line.start not in corrections:
                corrections[line.start] = corrections[here] + line.disagreement_deg
                waiting.append(line.start)
    return corrections

"""Tasks that a course might ask as well, for `power.power` to choose from."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Iterator, Sequence

from ..earth.geodesy import SamePoint
from ..tasks import key
from ..tasks.answer import Answer, Ends
from ..tasks.bands import PRESETS
from ..tasks.kinds import kind_of
from ..tasks.site import Site, Task
from .answer_checks import FAIR_CHANCE, chance_of_full_credit
from .findings import Severity
from .ground_checks import on_its_ground
from .measures import twins
from .surroundings import Surroundings
from .weighing import turned

KIND, PRESET = "sight", "usual"
BAND = PRESETS[PRESET].band
NORTHS = ("true", "magnetic")
MOST_LINES = 24  # that are tried: of each station by turns those that the survey turns least


def further_answers(
    answers: Sequence[Answer],
    ground: Surroundings,
    on: datetime.date,
) -> list[Answer]:
    """The answers of fair and safe sights from the stations of a course that it does not ask yet,
    in true and in magnetic; those first that give nothing away and about which the check finds the
    least. None from a station where the needle is bent.
    """
    site = ground.site
    fair = [
        answer
        for ends in _lines(answers, site)
        for answer in _asked(ends, site, on)
        if chance_of_full_credit(answer) >= FAIR_CHANCE
    ]
    weighed = []
    for answer in fair:
        found = on_its_ground(answer, ground)
        if answer.station not in ground.bent and all(
            finding.severity < Severity.DANGER for finding in found
        ):
            copies = sum(1 for other in answers for _ in twins((other, answer), site))
            weighed.append(((copies, len(found)), answer))
    return [answer for _, answer in sorted(weighed, key=lambda pair: pair[0])]


def _lines(answers: Sequence[Answer], site: Site) -> list[Ends]:
    """The lines that are not asked for yet at the stations of a course: the surest of each, then
    the next of each.
    """
    asked = {kind_of(answer.kind).line_asked(answer) for answer in answers}
    asked |= {(answer.station, answer.target) for answer in answers}
    by_station = [
        sorted(
            {(station, target) for target in site.choices_from(station) if station != target}
            - asked,
            key=lambda ends: (turned(site, *ends), ends),
        )
        for station in dict.fromkeys(answer.station for answer in answers)
    ]
    by_turns = itertools.chain.from_iterable(itertools.zip_longest(*by_station))
    return [ends for ends in by_turns if ends][:MOST_LINES]


def _asked(ends: Ends, site: Site, on: datetime.date) -> Iterator[Answer]:
    """A line in each north, or nothing where its ends are one place."""
    for north in NORTHS:
        task = Task(f"{ends[0]}>{ends[1]}>{north}", KIND, *ends, north, BAND)
        try:
            yield from key.compute([task], site, on)
        except SamePoint:
            return

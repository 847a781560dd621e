"""What is said in the end: of a reading its likeliest cause, of a person how they read."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..mistakes import causes
from .explaining import LEAST_WAY, Explained
from .questions import Way
from .residuals import CODES, Residuals

LEAST_ALTERNATIVE = 0.02  # probability from which an alternative is worth saying
MOST_ALTERNATIVES = 4
# The power that shares are taken to before they are said: readings of one class hang together more
# than the model knows, and what it finds sure is a little less so (settled on simulated classes,
# seed 2 of three worlds: calibration error of messy ones 0.016 with it, 0.038 without).
CAUTION = 0.9


@dataclass(frozen=True)
class Verdict:
    """The most probable cause of a reading with its probability, and the alternatives as (cause,
    probability), likelier first.

    `detail` is the code of the other point concerned, for another target or another station; of a
    place the point whose bearing, or the number of the leg, that went wrong; else empty.
    `question` is the code of what might be asked to know more, or empty.
    """

    cause: str
    probability: float
    alternatives: tuple[tuple[str, float], ...] = ()
    detail: str = ""
    question: str = ""

    @property
    def is_sure(self) -> bool:
        """Whether the cause may be said as one sentence."""
        return self.probability >= causes.SURE

    @property
    def is_certain(self) -> bool:
        """Whether it may be said without a "probably"."""
        return self.probability >= causes.CERTAIN


@dataclass(frozen=True)
class Person:
    """A person's offset (their own, and their compass's if they read with one alone) in degrees
    with its standard error and the probability that it is more than FAULT_DEG; their most probable
    habit, or none, with its probability; their scatter, one sigma, with its standard error; and
    what of the offset is their own. `other_habits` are the less probable ones, or none, likelier
    first, with their probabilities.
    """

    offset_deg: float
    offset_error_deg: float
    offset_probability: float
    habit: str
    habit_probability: float
    scatter_deg: float
    scatter_error_deg: float
    own_deg: float = 0.0
    other_habits: tuple[tuple[str, float], ...] = ()


def likeliest(by_cause: Mapping[str, float], by_detail: Mapping[tuple[str, str], float]) -> Verdict:
    """The verdict of shares by cause, in any unit; `by_detail` are shares by (cause, code of the
    other point, bearing or leg).

    What a person did is weighed first, whatever the ground and the compass did besides: these are
    then named as they probably were.
    """
    done: dict[str, dict[str, float]] = {}
    for code, share in by_cause.items():
        done.setdefault(causes.of_person(code), {})[code] = share
    weights = {
        max(own, key=lambda code: (own[code], code)): sum(own.values()) ** CAUTION
        for own in done.values()
    }
    mass = sum(weights.values())
    shares = [(code, weight / mass) for code, weight in weights.items()]
    ordered = sorted(shares, key=lambda pair: (-pair[1], pair[0]))
    cause, probability = ordered[0]
    did = causes.of_person(cause)
    details: dict[str, float] = {}
    for (code, detail), share in by_detail.items():
        if causes.of_person(code) == did:
            details[detail] = details.get(detail, 0.0) + share
    alternatives = tuple(
        pair for pair in ordered[1 : 1 + MOST_ALTERNATIVES] if pair[1] >= LEAST_ALTERNATIVE
    )
    detail = max(details, key=details.__getitem__) if details else ""
    return Verdict(cause, probability, alternatives, detail)


@dataclass(frozen=True)
class Shares:
    """How probable each cause of one reading is, and of each (cause, other point); the probability
    of an answer that was copied is not among them.
    """

    by_cause: dict[str, float]
    by_detail: dict[tuple[str, str], float]
    copied: float

    def with_original(self, original: Shares) -> Shares:
        """These, with the causes of the reading that was copied from: a copied answer has its
        original's cause.
        """
        scale = self.copied / sum(original.by_cause.values())
        by_cause, by_detail = dict(self.by_cause), dict(self.by_detail)
        for cause, share in original.by_cause.items():
            by_cause[cause] = by_cause.get(cause, 0.0) + share * scale
        for detail, share in original.by_detail.items():
            by_detail[detail] = by_detail.get(detail, 0.0) + share * scale
        return Shares(by_cause, by_detail, 0.0)


def shares(residuals: Residuals, part: Explained) -> list[Shares]:
    """The shares of each reading of a part: ways added up by cause. A target rightly named is sound
    however it came about.
    """
    by_cause = [{"unexplained": share} for share in part.unexplained.tolist()]
    by_detail: list[dict[tuple[str, str], float]] = [{} for _ in by_cause]
    is_right = residuals.is_right[residuals.row_of[part.readings]].tolist()
    for way in _ways(residuals, part):
        causes_of, details = by_cause[way.reading], by_detail[way.reading]
        if is_right[way.reading]:
            causes_of["ok"] = causes_of.get("ok", 0.0) + way.probability
            continue
        for cause, share in way.shares():
            causes_of[cause] = causes_of.get(cause, 0.0) + share
            if way.detail:
                details[cause, way.detail] = details.get((cause, way.detail), 0.0) + share
    return [Shares(*found) for found in zip(by_cause, by_detail, part.copied.tolist(), strict=True)]


def ways_to(residuals: Residuals, part: Explained, place: int) -> list[Way]:
    """The likely ways to one reading of a part, by its place there."""
    own = part.of == place
    habit, slip, detail = (
        getattr(residuals, name)[part.way[own]].tolist() for name in ("habit", "slip", "detail")
    )
    ways = [
        Way(frozenset({CODES[one], CODES[other]}) - {"ok"}, other_point, probability)
        for one, other, other_point, probability in zip(
            habit, slip, detail, part.probability[own].tolist(), strict=True
        )
    ]
    nothing = Way(frozenset({"unexplained"}), "", float(part.unexplained[place]))
    return [*ways, nothing]


def ranked(found: Sequence[Shares], original: Sequence[int]) -> list[Verdict]:
    """A verdict for each reading, in the order of time; `original` is the index of the reading that
    each may have been copied from, which comes before it.
    """
    whole: list[Shares] = []
    for own, earlier in zip(found, original, strict=True):
        whole.append(own.with_original(whole[earlier]) if own.copied > LEAST_WAY else own)
    return [likeliest(own.by_cause, own.by_detail) for own in whole]


@dataclass(frozen=True)
class _Way:
    """One likely way to a reading, by its index in its part: what went wrong, how probable it is,
    and how much of that comes with a compass that is off, and with a fault of the ground.
    """

    reading: int
    habit: int
    slip: int
    detail: str
    probability: float
    off: float
    ground: float
    is_reversed: bool

    def shares(self) -> Iterator[tuple[str, float]]:
        """Its probability by cause: faults of the ground and offsets go with every way that has a
        needle.
        """
        sound = self.probability - self.off
        for extra, share in (
            ((), (1 - self.ground) * sound),
            (("station_fault",), self.ground * sound),
            (("compass_offset",), (1 - self.ground) * self.off),
            (("compass_offset", "station_fault"), self.ground * self.off),
        ):
            if share > LEAST_WAY:
                yield _code(self.habit, self.slip, self.is_reversed, extra), share


def _ways(residuals: Residuals, part: Explained) -> Iterator[_Way]:
    """The likely ways to the readings of a part."""
    is_reversed = (part.reversed_chance >= 0.5).tolist()
    for reading, habit, slip, detail, probability, off, felt, ground in zip(
        part.of.tolist(),
        residuals.habit[part.way].tolist(),
        residuals.slip[part.way].tolist(),
        residuals.detail[part.way].tolist(),
        part.probability.tolist(),
        part.off.tolist(),
        part.felt.tolist(),
        part.ground.tolist(),
        strict=True,
    ):
        turned = is_reversed[reading]
        yield _Way(reading, habit, slip, detail, probability, off, ground * felt, turned)


@functools.cache
def _code(habit: int, slip: int, is_reversed: bool, extra: tuple[str, ...]) -> str:
    """The code of a way's causes; a needle that is reversed twice is not."""
    turned = {"reversed"} if is_reversed else set()
    return causes.combined(({CODES[habit], CODES[slip]} ^ turned) - {"ok"} | set(extra))

"""An answer that is a target: whichever lies along a direction. It stands for a whole sector."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from ...earth.angle_units import DEGREES, AngleUnit
from ...earth.angles import difference, wrap
from ...mistakes.predictions import Meant, Outcome, Prediction
from ...words import say
from .direction import PIECE_DEG, Direction

if TYPE_CHECKING:
    from ..answer import Answer

# beyond this a person doubts the dial rather than naming the nearest thing
WIDEST_HALF_SECTOR_DEG = 30.0


class NotATarget(ValueError):
    """A code that is none of the targets seen from the station."""


@dataclass(frozen=True)
class Chosen:
    """The target that was named, by its code."""

    target: str


@dataclass(frozen=True)
class Target(Direction):
    """The code of a target seen from the task's station."""

    code = "target"
    piece_deg = PIECE_DEG

    def choices(self, answer: Answer) -> list[str]:
        """The targets seen from the station."""
        return sorted(
            {answer.target, *(other.code for other in answer.others)},
            key=lambda code: (len(code), code),
        )

    def parse(
        self, answer: Answer, text: str, *, is_mils: bool = False, unit: AngleUnit = DEGREES
    ) -> Chosen:
        """What was named. Raises NotATarget."""
        code = text.strip().upper()
        by_upper = {choice.upper(): choice for choice in self.choices(answer)}
        if code not in by_upper:
            raise NotATarget(
                say(
                    "“{text}” is not a target here. Use one of: {codes}.",
                    text=text.strip()[:40],
                    codes=", ".join(self.choices(answer)),
                )
            )
        return Chosen(by_upper[code])

    def columns(self, seen: Chosen) -> dict[str, Any]:
        """The code of the target."""
        return {"target": seen.target}

    def restore(self, kept: Any) -> Chosen:
        """What was named, from its column."""
        return Chosen(kept.target)

    def direction(self, answer: Answer, seen: Chosen) -> float:
        """The direction of the target named, in the asked north, degrees in [0, 360)."""
        return wrap(
            seen_from(answer, "")[seen.target] + answer.norths.correction("true", answer.north)
        )

    def is_right(self, answer: Answer, seen: Chosen) -> bool:
        """Whether the target named is the one asked for."""
        return seen.target == answer.target

    def chance_sound(self, answer: Answer) -> float:
        """How probable it is that who faces with perfect technique faces the sector of the target:
        whichever lies nearest is named, so the band does not count.
        """
        here_deg = answer.bearings_deg["true"]
        told_deg = here_deg
        if answer.given_deg is not None:
            told_deg = answer.norths.turn(answer.given_deg, answer.given_north, "true")
        left_deg, right_deg = _sector(seen_from(answer, ""), answer.target)
        facing = NormalDist(difference(told_deg, here_deg), answer.budget.total_deg)
        return facing.cdf(right_deg) - facing.cdf(-left_deg)

    def copy_gap_deg(self, answer: Answer, other: Answer) -> float | None:
        """None but for the same target asked at another station: named there, it is right here."""
        is_same = other.form.code == self.code and other.target == answer.target
        return 0.0 if is_same and other.station != answer.station else None

    def meant(self, answer: Answer, seen: Chosen, prediction: Prediction) -> list[Meant]:
        """The sector of directions in which the target is nearest, where the prediction has the
        person stand.
        """
        bearings = seen_from(answer, prediction.detail)
        if seen.target not in bearings:
            return []
        left_deg, right_deg = _sector(bearings, seen.target)
        half_deg = (right_deg + left_deg) / 2
        middle_deg = wrap(bearings[seen.target] + (right_deg - left_deg) / 2)
        return [Meant(middle_deg, 1.0, 2 * half_deg, half_deg)]

    def outcomes(self, answer: Answer, prediction: Prediction) -> list[Outcome]:
        """The direction of the target that a prediction has the person name, as seen from the
        task's station.
        """
        bearings, facing_deg = seen_from(answer, prediction.detail), prediction.centre_deg
        named = min(bearings, key=lambda code: (abs(difference(bearings[code], facing_deg)), code))
        here = seen_from(answer, "")
        return (
            [(wrap(here[named] + answer.norths.correction("true", answer.north)), 1.0)]
            if named in here
            else []
        )


def _sector(bearings: dict[str, float], target: str) -> tuple[float, float]:
    """How far to the left and to the right of a target it is still the nearest, degrees."""
    turns = [
        difference(bearing, bearings[target])
        for code, bearing in bearings.items()
        if code != target
    ]
    left = min([-turn / 2 for turn in turns if turn < 0] + [WIDEST_HALF_SECTOR_DEG])
    right = min([turn / 2 for turn in turns if turn > 0] + [WIDEST_HALF_SECTOR_DEG])
    return left, right


def seen_from(answer: Answer, station: str) -> dict[str, float]:
    """True bearings of the targets by code, from the task's own station ("") or from another."""
    for other in answer.stations:
        if other.code == station:
            return dict(other.targets)
    return {
        answer.target: answer.bearings_deg["true"],
        **{other.code: other.bearing_deg for other in answer.others},
    }

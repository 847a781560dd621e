"""An answer that is a bearing in figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...earth.angle_units import DEGREES, AngleUnit, unit_of
from ...earth.angles import Written, difference
from ...earth.bearing_notation import notation_of
from ...mistakes.predictions import Meant, Outcome, Prediction, meant, outcomes
from .direction import Direction

if TYPE_CHECKING:
    from ..answer import Answer


@dataclass(frozen=True)
class Bearing(Direction):
    """A number in the asked north and the unit of the compass: degrees, or mils. Where degrees are
    asked it is in mils of 6400 if the person says so.
    """

    code = "bearing"
    in_figures = True

    def parse(
        self, answer: Answer, text: str, *, is_mils: bool = False, unit: AngleUnit = DEGREES
    ) -> Written:
        """What was typed. Raises NotABearing, or PerhapsMils for what the person must be asked."""
        return notation_of(unit).parse(text, is_mils=is_mils)

    def parse_on_paper(self, answer: Answer, text: str, unit: AngleUnit = DEGREES) -> Written:
        """What stands on a sheet: a whole number over 360 degrees is kept and read as mils."""
        return notation_of(unit).parse_on_paper(text)

    def columns(self, seen: Written) -> dict[str, Any]:
        """Degrees, and mils where these were written for degrees; and the unit that was asked."""
        return {"value_deg": seen.degrees, "value_mils": seen.mils, "unit": seen.unit.code}

    def restore(self, kept: Any) -> Written:
        """What was written, from its columns."""
        return Written(kept.value_deg, kept.value_mils, unit_of(kept.unit))

    def direction(self, answer: Answer, seen: Written) -> float:
        """The number itself, degrees in [0, 360)."""
        return seen.degrees

    def copy_gap_deg(self, answer: Answer, other: Answer) -> float | None:
        """Between two bearings, as numbers."""
        if not other.form.in_figures:
            return None
        return abs(difference(answer.expected_deg, other.expected_deg))

    def dial_number(self, seen: Written) -> float:
        """The number that was read, in the unit of its compass."""
        return seen.number

    def meant(self, answer: Answer, seen: Written, prediction: Prediction) -> list[Meant]:
        """The directions that, written down in the prediction's way, give this number."""
        return meant(seen, prediction.writing)

    def outcomes(self, answer: Answer, prediction: Prediction) -> list[Outcome]:
        """The numbers that a prediction is written down as, each with its share."""
        return outcomes(prediction.centre_deg, prediction.writing)

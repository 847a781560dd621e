"""An answer that is a bearing in figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...earth.angles import (
    Written,
    difference,
    parse_bearing,
    parse_bearing_on_paper,
    written_in_mils,
)
from ...mistakes.predictions import Meant, Outcome, Prediction, meant, outcomes
from .direction import Direction

if TYPE_CHECKING:
    from ..answer import Answer


@dataclass(frozen=True)
class Bearing(Direction):
    """Degrees in the asked north, or mils of 6400 where the person says so."""

    code = "bearing"
    in_figures = True

    def parse(self, answer: Answer, text: str, *, is_mils: bool = False) -> Written:
        """What was typed. Raises NotABearing, or PerhapsMils for what the person must be asked."""
        if is_mils and text.isdecimal():
            return written_in_mils(int(text))
        return parse_bearing(text)

    def parse_on_paper(self, answer: Answer, text: str) -> Written:
        """What stands on a sheet: a whole number over 360 is kept and read as mils."""
        return parse_bearing_on_paper(text)

    def columns(self, seen: Written) -> dict[str, Any]:
        """Degrees, and mils where these were written."""
        return {"value_deg": seen.degrees, "value_mils": seen.mils}

    def restore(self, kept: Any) -> Written:
        """What was written, from its columns."""
        return Written(kept.value_deg, kept.value_mils)

    def direction(self, answer: Answer, seen: Written) -> float:
        """The number itself, degrees in [0, 360)."""
        return seen.degrees

    def copy_gap_deg(self, answer: Answer, other: Answer) -> float | None:
        """Between two bearings, as numbers."""
        if not other.form.in_figures:
            return None
        return abs(difference(answer.expected_deg, other.expected_deg))

    def dial_number(self, seen: Written) -> float:
        """The number that was read, degrees in [0, 360)."""
        return seen.degrees

    def meant(self, answer: Answer, seen: Written, prediction: Prediction) -> list[Meant]:
        """The directions that, written down in the prediction's way, give this number."""
        return meant(seen, prediction.writing)

    def outcomes(self, answer: Answer, prediction: Prediction) -> list[Outcome]:
        """The numbers that a prediction is written down as, each with its share."""
        return outcomes(prediction.centre_deg, prediction.writing)

"""What bearings and targets share: each is a direction from where one stands."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from ...earth.angles import difference
from ...earth.norths import NORTHS
from ...mistakes.predictions import Meant, Outcome, Prediction
from .. import wants
from .base import CIRCLE, Form, Grade

if TYPE_CHECKING:
    from ..answer import Answer

PIECE_DEG = 3.0  # a sector is cut into pieces of about this size


@dataclass(frozen=True)
class DirectionGrade(Grade):
    """The grade of a direction.

    `reading_deg` is the direction of what was given, in the asked north. `error_deg` is reading
    minus answer there, in (-180, 180], and decides the credit; `errors_deg` is that against each
    north, the number being taken as one in that north.
    """

    reading_deg: float
    error_deg: float
    errors_deg: dict[str, float]


class Direction(Form):
    """A form whose answers lie on the circle. Its likelihood is that of `diagnosis.residuals`."""

    space = CIRCLE
    band = wants.DEGREES
    piece_deg: ClassVar[float] = 0.0  # of a sector, where an answer stands for one

    @abstractmethod
    def direction(self, answer: Answer, seen: Any) -> float:
        """The direction of what was given, in the asked north, degrees in [0, 360)."""

    def error_deg(self, answer: Answer, seen: Any) -> float:
        """By how much it is off in the asked north, degrees in (-180, 180]."""
        return difference(self.direction(answer, seen), answer.expected_deg)

    def grade(self, answer: Answer, seen: Any) -> DirectionGrade:
        """Signed errors in every north, and credit by the band."""
        reading_deg = self.direction(answer, seen)
        errors_deg = {
            north: difference(reading_deg, answer.bearings_deg[north]) for north in NORTHS
        }
        errors_deg[answer.north] = error_deg = self.error_deg(answer, seen)
        return DirectionGrade(answer.band.credit(error_deg), reading_deg, error_deg, errors_deg)

    def chance_sound(self, answer: Answer) -> float:
        """How probable it is that perfect technique earns full credit, by the answer's budget."""
        return answer.budget.chance_within(answer.band.full_credit_deg)

    def figures(self, answer: Answer, grade: DirectionGrade) -> dict[str, Any]:
        """Degrees: read, expected, and off in each north."""
        return {
            "reading_deg": grade.reading_deg,
            "expected_deg": answer.expected_deg,
            "error_deg": grade.error_deg,
            **{f"error_{north}_deg": error for north, error in grade.errors_deg.items()},
        }

    def pieces(self, half_width_deg: float) -> int:
        """Into how many pieces a cell of directions is cut, each a way of its own: whatever bends
        the needle moves the answer out at the edge of a sector.
        """
        return max(1, round(2.0 * half_width_deg / PIECE_DEG))

    def dial_number(self, seen: Any) -> float | None:
        """The number that was read, in the unit of its compass, or None where none was written."""
        return None

    @abstractmethod
    def meant(self, answer: Answer, seen: Any, prediction: Prediction) -> list[Meant]:
        """The directions that may have been meant, if things went as a prediction has them."""

    @abstractmethod
    def outcomes(self, answer: Answer, prediction: Prediction) -> list[Outcome]:
        """The bearings in the asked north that a prediction comes out as, each with its share."""

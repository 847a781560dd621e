"""What every form of an answer offers."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, Self

from ...earth.angle_units import DEGREES, AngleUnit
from ..bands import Band

if TYPE_CHECKING:
    from ..answer import Answer
    from ..spots import Lettering
    from .place import Spot

CIRCLE, PLANE = "circle", "plane"


@dataclass(frozen=True)
class Grade:
    """What one answer earned: `credit` is 1, 0.5 or 0. Each form adds by how much it was off."""

    credit: float


class Form(ABC):
    """A form of an answer, as the answer carries it.

    `code` is stable: it names the form for phones and in tables of what depends on it. `space` is
    where its answers lie, on the circle of directions or in the plane, which decides how they are
    diagnosed. `band` names the part of a task that holds its tolerances (`tasks.wants`).
    """

    code: ClassVar[str]
    space: ClassVar[str]
    band: ClassVar[str]
    in_figures: ClassVar[bool] = False  # whether it is a number, whose slips are those of figures
    is_typed: ClassVar[bool] = False  # whether something else than one of the choices may be typed

    def choices(self, answer: Answer) -> list[str]:
        """The codes that may be named, T2 before T10, so that the order gives nothing away."""
        return []

    @abstractmethod
    def parse(
        self, answer: Answer, text: str, *, is_mils: bool = False, unit: AngleUnit = DEGREES
    ) -> Any:
        """What was typed on a phone. `is_mils` is what the person said of a bare number; `unit` is
        that of their compass, in which a bearing is asked.

        Raises one of `forms.UNREADABLE`, with a message for the person.
        """

    def parse_on_paper(self, answer: Answer, text: str, unit: AngleUnit = DEGREES) -> Any:
        """The same of a sheet, which cannot be asked."""
        return self.parse(answer, text, unit=unit)

    @abstractmethod
    def columns(self, seen: Any) -> dict[str, Any]:
        """What was given, as plain columns of a reading."""

    @abstractmethod
    def restore(self, kept: Any) -> Any:
        """What was given, from its columns, which are the attributes of `kept`."""

    @abstractmethod
    def grade(self, answer: Answer, seen: Any) -> Grade:
        """The grade of what was given; `answer` may be widened for the person."""

    @abstractmethod
    def figures(self, answer: Answer, grade: Any) -> dict[str, Any]:
        """What tables of results hold of a grade: column to number or code."""

    def is_right(self, answer: Answer, seen: Any) -> bool:
        """Whether exactly what was asked for was named; never of what is more or less right."""
        return False

    def widened(self, times: float) -> Form:
        """The form for a person with a wider band: what a bearing is off by moves a place in
        proportion.
        """
        return self

    def heard_elsewhere(self, answer: Answer) -> tuple[str, str] | None:
        """What an answer is named by, so that who has heard it at another task need not work; None
        of a direction, which is compared as a number (`copy_gap_deg`).
        """
        return None

    def copy_gap_deg(self, answer: Answer, other: Answer) -> float | None:
        """How far off the answer of another task would be here, degrees; None where it is none."""
        return None

    @property
    def spots_on_map(self) -> tuple[Spot, ...]:
        """The spots that a map shows with their letters."""
        return ()

    def lettered(self, lettering: Lettering) -> Form:
        """The form with letters for its spots, where it has any."""
        return self

    def limits(self, band: Band) -> tuple[float, float, str]:
        """Full and part credit, and their unit: "deg" or "m"."""
        return band.full_credit_deg, band.part_credit_deg, "deg"

    def to_plain(self) -> dict[str, Any] | None:
        """What JSON holds of it; None of a form that holds nothing by itself."""
        return None

    @classmethod
    def of(cls, answer: Answer) -> Self:
        """The form of an answer, where it is known to be of this class."""
        assert isinstance(answer.form, cls)
        return answer.form

    @classmethod
    def from_plain(cls, row: Any) -> Form:
        """The form that `to_plain` was given."""
        return cls()

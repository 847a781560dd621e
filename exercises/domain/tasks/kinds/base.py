"""What every kind of task has unless it says otherwise."""

from __future__ import annotations

import datetime
import functools
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from ...mistakes.predictions import Landing, Prediction
from ...surveying.position_lines import PositionLine
from ...surveying.traverse import Leg
from .. import north_angle, wants
from ..answer import Answer, Ends
from ..forms.base import Form
from ..site import UNSET, Compass, Site, Task


class Sighted(tuple[Ends, ...]):
    """The lines (station, target) of a whole course."""

    @functools.cached_property
    def stations(self) -> frozenset[str]:
        """The codes of the stations that it uses."""
        return frozenset(station for station, _ in self)

    @functools.cached_property
    def targets(self) -> frozenset[str]:
        """The codes of the targets that it sights."""
        return frozenset(target for _, target in self)


@dataclass(frozen=True)
class OtherLines:
    """Lines of a position with one other known point: its code, the one that it stands instead of
    (empty: none), whether one stands on it, and the lines.
    """

    point: str
    instead: str
    is_stood_on: bool
    lines: tuple[PositionLine, ...]


class Kind(ABC):
    """The common case: one station, one target, nothing that the map must show or hide.

    A kind has an expected answer in its form (`answer`) and mistakes: `predictions` where answers
    lie on the circle, `landings` where they lie in the plane. `parts` are what its tasks need
    (`tasks.wants`), `norths` those in which it may be asked, `setting` which advice helps
    (`mistakes.causes`). `reads_needle` says whether an answer is judged with the ground and the
    compass that may have bent it, `uses_compass` whether a compass is in the person's hand.
    `angle_way` is how its tasks tell the angle between two norths where nothing else is chosen.
    """

    code: ClassVar[str]
    form: ClassVar[type[Form]]
    norths: ClassVar[tuple[str, ...]]
    setting: ClassVar[str]
    parts: ClassVar[frozenset[str]] = frozenset({wants.TARGET})
    reads_needle: ClassVar[bool] = True
    uses_compass: ClassVar[bool] = True
    is_proposed: ClassVar[bool] = True
    angle_way: ClassVar[str] = north_angle.TOLD

    @property
    def wants(self) -> frozenset[str]:
        """The parts of a task that it needs, its band among them."""
        return self.parts | {self.form.band}

    @abstractmethod
    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task on a date. Raises NoAnswer, and what geodesy and magnetics raise."""

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen to an answer on the circle, read with a compass: no fault or one
        first, then a habit and a slip. None where answers lie in the plane.
        """
        return iter(())

    def landings(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Landing]:
        """All that may happen to an answer that is a place, found with a compass. None where
        answers lie on the circle.
        """
        return iter(())

    def restored(self, place: dict[str, Any] | None) -> Form:
        """The form of a kept answer; `place` is what JSON holds of it."""
        return self.form.from_plain(place)

    def shifted(
        self, answer: Answer, degrees: float, error_deg: float, *, with_others: bool
    ) -> Answer:
        """The answer where the needle is off by some degrees: the same where none is read."""
        return answer

    @abstractmethod
    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""

    def way_of_angle(self, answer: Answer) -> str:
        """How people come by the angle between two norths here, one of `north_angle.WAYS`; empty
        where a task needs none.
        """
        begin, end = self.arithmetic(answer)
        return "" if begin == end else answer.angle_way

    def marks(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the marks on which one stands."""
        return (answer.station,)

    def on_map(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the points that the map must show."""
        return ()

    def sought_at(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the points that the map must not show."""
        return ()

    def hidden_on_map(self, answer: Answer) -> tuple[str, ...]:
        """The codes of the points that the map shows only where another task needs them."""
        return ()

    def dial_bearing_deg(self, answer: Answer) -> float | None:
        """The bearing that a task puts on the course's dial, in the asked north; None of none."""
        return answer.expected_deg

    def line_asked(self, answer: Answer) -> Ends | None:
        """The line (station, target) whose bearing somebody is to find here, or None."""
        return None

    def line_told(self, answer: Answer) -> Ends | None:
        """The line whose bearing the task itself tells, or None."""
        return None

    def lines_sighted(self, answer: Answer) -> tuple[Ends, ...]:
        """The lines (station, target) along which something must be seen; none where nothing is."""
        return ()

    def lines_looked_along(self, task: Task) -> tuple[Ends, ...]:
        """The lines (station, target) that a task needs to be seen on the ground, by what it asks,
        whatever its day; none where nobody looks up.
        """
        return ()

    def ways_walked(self, answer: Answer) -> Mapping[str, tuple[Leg, ...]]:
        """Where people walk, sound or with a habit: the cause to its legs, true bearings. Empty
        where nobody walks.
        """
        return {}

    def ends(self, station: str, target: str, more: Iterable[str]) -> tuple[list[str], list[str]]:
        """Where a task begins and where it leads, with its further points on their side, however
        they are named.
        """
        return [station], [point for point in (target, *more) if point]

    def lines_with_another(self, task: Task, site: Site, answer: Answer) -> Iterator[OtherLines]:
        """The lines of a position with one other known point of the site, the nearest first:
        beside the others, or instead of one. None where no lines are drawn.
        """
        return iter(())

    def line_measured(self, answer: Answer) -> Ends | None:
        """The line whose bearing a person finds here and may go on with, or None."""
        return None

    def line_gone_on_with(self, answer: Answer) -> Ends | None:
        """The line that must have been measured before, because a person goes on with its bearing
        as they have it; or None.
        """
        return None

    def going_on(self, answer: Answer, heard_deg: float) -> Answer:
        """The answer for a person who goes on with `heard_deg` in the asked north."""
        return answer

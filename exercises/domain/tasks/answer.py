"""The right answer of one task, and all that is needed to say what went wrong with a reading of
it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from ..earth.norths import Norths
from .bands import Band
from .budget import Budget
from .forms import Bearing
from .forms.base import Form, Grade
from .north_angle import UNSAID

Ends = tuple[str, str]  # of a line: the codes of its station and its target


class NoAnswer(ValueError):
    """A task that has no answer as it stands. The message says why and what to do."""


@dataclass(frozen=True)
class Other:
    """Another point that a person may have aimed at or stood on.

    `bearing_deg` is true: of this target from the task's station, or of the task's target from this
    station. `share` is how likely it is beside its like. For a station, `targets` holds (code, true
    bearing) of what is seen from there.
    """

    code: str
    bearing_deg: float
    share: float = 1.0
    targets: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Answer:
    """The answer of one task for a date.

    `bearings_deg` maps each north to the answer in it, degrees in [0, 360). `others` are the other
    targets seen from the station, `stations` the other marks that see the target. `given_deg` in
    `given_north` is the bearing that was given, if any. `feedback` is the task's own policy, empty
    where it has none. `form` is what the answer is (`tasks.forms`), and holds the right
    place of one that is a place: its bearing is that from the station to the target. `after` is the
    task whose answer a person goes on with, if any. `spot` is the letter that stands on the map
    for a target whose name would answer the task that goes on from here; empty where it is named.
    `angle_way` is how people come by the angle between two norths (`tasks.north_angle`); keys from
    before there was a choice say nothing of it.
    """

    task: str
    kind: str
    station: str
    target: str
    north: str
    band: Band
    norths: Norths
    bearings_deg: dict[str, float]
    distance_m: float
    budget: Budget
    declination_model: str = ""
    declination_uncertainty_deg: float = 0.0
    warning: str = ""
    given_deg: float | None = None
    given_north: str = ""
    others: tuple[Other, ...] = ()
    stations: tuple[Other, ...] = ()
    feedback: str = ""
    form: Form = field(default_factory=Bearing)
    after: str = ""
    spot: str = ""
    angle_way: str = UNSAID

    @property
    def expected_deg(self) -> float:
        """The answer in the asked north, degrees."""
        return self.bearings_deg[self.north]

    @property
    def bearing_given_deg(self) -> float:
        """The bearing that was given, degrees in `given_north`, by a task that gives one."""
        assert self.given_deg is not None
        return self.given_deg

    def grade(self, seen: Any) -> Grade:
        """The grade of what was given, in the answer's form."""
        return self.form.grade(self, seen)

    def widened(self, full_credit_deg: float | None) -> Answer:
        """This answer for a person with a wider band."""
        band = self.band.widened(full_credit_deg)
        if band == self.band:
            return self
        times = band.full_credit_deg / self.band.full_credit_deg
        return replace(self, band=band, form=self.form.widened(times))

"""What the classes between two days add up to, for the report of a season. No name is in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.contrib.auth.models import AbstractUser
from django.db.models import QuerySet

from ..domain.results import across_classes, cohort, season
from ..domain.tasks.kinds import reads_needle
from ..models import CourseClass, Organisation
from .attendance import attendance
from .debrief import Debriefed, debrief

FAULTY = 0.5  # probability from which a compass is said to be at fault, as at the debrief


@dataclass(frozen=True)
class HeldClass:
    """A class that was held: what its readings say, and how many people were there."""

    whole: Debriefed
    heads: int

    @property
    def course_class(self) -> CourseClass:
        """The class."""
        return self.whole.course_class

    @cached_property
    def reads(self) -> list[season.Read]:
        """Its readings that count, without those that the ground or a compass spoilt."""
        spoilt = {one.reading.key for one in self.whole.told.not_theirs}
        return [
            season.Read(
                f"{self.course_class.pk} {one.person}", one.answer.kind, one.credit, one.cause
            )
            for one in self.whole.judged
            if one.reading.key not in spoilt
        ]

    @property
    def biases(self) -> season.Biases:
        """What it says alone of the stations, by site and code."""
        if self.whole.key is None:
            return {}
        first = self.course_class.keys.order_by("version").first()
        found = across_classes.station_biases(
            self.whole.diagnosis, self.whole.answers, first.as_domain() if first else ()
        )
        site = self.course_class.course.site.name
        return {f"{site}: {code}": bias for code, bias in found.items()}


@dataclass(frozen=True)
class Season:
    """The classes of a season, oldest first."""

    classes: tuple[HeldClass, ...]

    @property
    def reads(self) -> list[season.Read]:
        """All readings."""
        return [read for held in self.classes for read in held.reads]

    def spread(self) -> cohort.Spread | None:
        """The spread of the sound bearings that were read off a dial."""
        return cohort.spread_of_sound(
            [
                judged
                for held in self.classes
                for judged in held.whole.judged
                if reads_needle(judged.answer) and judged.answer.form.in_figures
            ]
        )

    def halves(self) -> tuple[list[season.Read], list[season.Read]]:
        """The readings of the first and of the last half of the classes; of an odd number the one
        in the middle is in neither.
        """
        half = len(self.classes) // 2
        first, last = self.classes[:half], self.classes[len(self.classes) - half :]
        return [read for held in first for read in held.reads], [
            read for held in last for read in held.reads
        ]

    def compasses(self) -> dict[str, CourseClass]:
        """The numbers of compasses that a class showed to be at fault, with the last such class."""
        return {
            number: held.course_class
            for held in self.classes
            for number, compass in held.whole.diagnosis.compasses.items()
            if max(compass.reversed_probability, compass.offset.fault_probability) >= FAULTY
        }


def season_of(
    *,
    user: AbstractUser,
    organisation: Organisation | None,
    begin: date,
    end: date,
    now: datetime,
) -> Season:
    """The closed classes of an account, or those on the sites that an organisation shares, from one
    day to another.
    """
    classes: QuerySet[CourseClass] = CourseClass.objects.kept().filter(
        state=CourseClass.State.CLOSED, date__range=(begin, end)
    )
    own = (
        classes.filter(course__site__organisation=organisation)
        if organisation
        else classes.filter(owner=user)
    )
    rows: Sequence[CourseClass] = list(
        own.select_related("course__site").order_by("date", "opened_at", "pk")
    )
    return Season(
        tuple(HeldClass(debrief(course_class=row, now=now), attendance(row).heads) for row in rows)
    )

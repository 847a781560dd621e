"""Diagnose a class, and keep what was found until its readings, its key or the model change."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from datetime import datetime
from functools import cached_property

from django.contrib.auth.models import AbstractUser
from django.db.models import QuerySet

from .. import queries
from ..domain.diagnosis import diagnosis, priors
from ..domain.diagnosis.class_arrays import SeenTo
from ..domain.diagnosis.diagnosis import MODEL_VERSION, Diagnosis
from ..domain.diagnosis.verdicts import Verdict
from ..domain.results import lessons
from ..domain.results.judged import Judged
from ..domain.results.passing import Passing, PassingRule, passing
from ..domain.running.first_signs import About
from ..domain.tasks import reading as domain
from ..domain.tasks.answer import Answer
from ..models import CourseClass, Experience, Key, Person, Reading, Results

# a class that is still coming in is counted again when it has grown by this factor and so many
# readings
GROWN_BY, AT_LEAST = 1.3, 15


@dataclass(frozen=True)
class Debriefed:
    """A class with its key, the readings that count, judged, the people who gave them by their
    keys as text, and the whole diagnosis.
    """

    course_class: CourseClass
    key: Key | None
    answers: tuple[Answer, ...]
    judged: list[Judged]
    people: dict[str, Person]
    diagnosis: Diagnosis
    is_whole: bool = True  # false where only some people were looked at

    @cached_property
    def by_person(self) -> dict[str, list[Judged]]:
        """The readings of each person, by the person's key as text."""
        groups: dict[str, list[Judged]] = {}
        for reading in self.judged:
            groups.setdefault(reading.person, []).append(reading)
        return groups

    @cached_property
    def by_task(self) -> dict[str, list[Judged]]:
        """The readings of each task, by its label."""
        groups: dict[str, list[Judged]] = {}
        for reading in self.judged:
            groups.setdefault(reading.task, []).append(reading)
        return groups

    @cached_property
    def habits(self) -> dict[str, str]:
        """The habit of each person of whom one is said, by the person's key as text."""
        return {
            person: found.habit
            for person, found in self.diagnosis.people.items()
            if found.habit != "none" and found.habit_probability >= lessons.HABIT_SURE
        }

    @cached_property
    def told(self) -> lessons.Told:
        """Who is told what of the readings without full credit."""
        return lessons.told(self.fair, self.habits)

    @cached_property
    def fair(self) -> list[Judged]:
        """The judged readings, a reversed needle being its compass's fault."""
        return lessons.by_compass(
            self.judged,
            {
                number
                for number, compass in self.diagnosis.compasses.items()
                if compass.reversed_probability >= lessons.TURNED
            },
        )

    def passing(self, person: Person) -> Passing | None:
        """What the class's rule says of a person; None without one, where nothing counts, and where
        not all of the class was looked at.
        """
        share = self.course_class.pass_share
        return self._by(PassingRule(share), person) if share and self.is_whole else None

    def missed(self, person: Person) -> tuple[str, ...]:
        """The tasks that earned a person less than they could, in order, whatever the rule."""
        found = self._by(PassingRule(), person)
        return found.failed if found else ()

    def is_to_retest(self, person: Person) -> bool:
        """Whether somebody has not passed, or, without a rule, missed anything."""
        found = self.passing(person)
        return not found.passed if found else bool(self.missed(person))

    def _by(self, rule: PassingRule, person: Person) -> Passing | None:
        """What a rule says of a person."""
        key = str(person.pk)
        return passing(
            rule,
            [answer.task for answer in self.answers],
            {judged.task: judged.credit for judged in self.by_person.get(key, [])},
            {judged.task for judged in self.told.not_theirs if judged.person == key},
        )

    def name(self, reading: Judged) -> str:
        """The name of whoever gave a judged reading."""
        return str(self.people[reading.person].name)


def _debriefed(
    course_class: CourseClass,
    key: Key,
    rows: Sequence[Reading],
    judged: list[Judged],
    diagnosis: Diagnosis,
) -> Debriefed:
    """What a key makes of rows that were judged."""
    people = {str(person.pk): person for person in dict.fromkeys(row.whose for row in rows)}
    return Debriefed(course_class, key, key.counted(), judged, people, diagnosis)


def settled_or_of(*, course_class: CourseClass, people: Sequence[Person]) -> Debriefed:
    """What was counted of the whole class where that still holds, else what the readings of some
    people say: for their sheets, without fitting the class. Whether somebody passed is said by the
    former alone, so that nothing is told that the next count takes back.
    """
    key = queries.current_key(course_class)
    if key is not None:
        counted = _counted(course_class, key)
        if kept := _kept(course_class, counted):
            return counted.debriefed(course_class, key, kept)
    return debrief_of(course_class=course_class, people=people)


def _empty(course_class: CourseClass) -> Debriefed:
    """Of a class without a key."""
    return Debriefed(course_class, None, (), [], {}, diagnosis.NOTHING)


def debrief(*, course_class: CourseClass, now: datetime) -> Debriefed:
    """What a class's readings say, from what was kept where that still holds, else computed and
    kept.
    """
    key = queries.current_key(course_class)
    if key is None:
        return _empty(course_class)
    counted = _counted(course_class, key)
    whole = _kept(course_class, counted)
    if whole is None:
        whole = diagnosis.diagnose(
            counted.answers,
            counted.readings,
            key.stated(),
            counted.seen_to,
            key.known_compasses(),
        )
        _keep(course_class, key, whole, counted, now)
    return counted.debriefed(course_class, key, whole)


def under(*, course_class: CourseClass, key: Key) -> Debriefed:
    """The same under a key that is not stored, for a preview: nothing is kept, and the diagnosis is
    not computed.
    """
    answers = key.counted()
    rows = queries.readings_that_count(course_class, answers)
    silent = diagnosis.Diagnosis(tuple(diagnosis.Verdict("ok", 1.0) for _ in rows), {}, {}, {}, {})
    judged = queries.judged(rows, queries.as_readings(key, rows), answers, silent)
    return _debriefed(course_class, key, rows, judged, silent)


def debrief_of(*, course_class: CourseClass, people: Sequence[Person]) -> Debriefed:
    """What the readings of some people say, by what their class knew at its last count: for their
    phone, without fitting the class.
    """
    key = queries.current_key(course_class)
    if key is None:
        return _empty(course_class)
    answers = key.counted()
    rows = queries.counting(
        course_class,
        course_class.readings.of(people).with_said(),
        answers,
    )
    judged, of_people = queries.judged_for(course_class, key, rows)
    return replace(_debriefed(course_class, key, rows, judged, of_people), is_whole=False)


def verdict_on(course_class: CourseClass, reading: Reading) -> Verdict:
    """What is said of a reading now; of one that does not count, that nothing is known."""
    whole = debrief_of(course_class=course_class, people=[reading.whose])
    said = {judged.reading.key: judged.verdict for judged in whole.judged}
    return said.get(reading.pk, Verdict("unexplained", 0.0))


def keep_up(*, course_class: CourseClass, now: datetime) -> None:
    """Count a class again if it has grown enough since the last time, so that phones are answered
    by what it knows by now.
    """
    last = (
        Results.objects.filter(course_class=course_class)
        .values_list("readings_count", flat=True)
        .first()
        or 0
    )
    if course_class.readings.count() >= max(GROWN_BY * last, last + AT_LEAST):
        debrief(course_class=course_class, now=now)


def beliefs(
    instructor: AbstractUser, before: datetime | None = None
) -> tuple[priors.Priors, list[priors.Counts]]:
    """What the instructor's own classes make of the stated priors, with the counts that they add;
    those opened before a moment.
    """
    since = Experience.objects.filter(instructor=instructor).values_list("since", flat=True).first()
    rows = Results.objects.filter(
        course_class__owner=instructor,
        course_class__state=CourseClass.State.CLOSED,
        model_version=MODEL_VERSION,
    )
    if since:
        rows = rows.filter(course_class__opened_at__gte=since)
    if before:
        rows = rows.filter(course_class__opened_at__lt=before)
    held = [
        priors.Counts(**{name: tuple(values) for name, values in counts.items()})
        for counts in rows.order_by("course_class__opened_at", "pk").values_list(
            "counts", flat=True
        )
        if counts
    ]
    return priors.sharpened(priors.STATED, held), held


def uncounted(instructor: AbstractUser) -> QuerySet[CourseClass]:
    """Closed classes that the present model has not counted yet, oldest first."""
    return (
        CourseClass.objects.kept()
        .filter(owner=instructor, state=CourseClass.State.CLOSED)
        .exclude(results__model_version=MODEL_VERSION)
        .order_by("opened_at")
    )


def _seen_to(
    course_class: CourseClass, answers: Sequence[Answer], rows: Sequence[Reading]
) -> list[SeenTo]:
    """Where somebody saw to a station or a line, and how many of the readings there were then."""
    station_of = {answer.task: answer.station for answer in answers}
    found = []
    for row in course_class.seen_to.filter(taken_back_at=None):
        about, subject, _ = row.sign.split(":")
        readings = sum(reading.moment <= row.at for reading in rows)
        if about == About.STATION:
            found.append(SeenTo(subject, readings))
        elif about == About.LINE and subject in station_of:
            found.append(SeenTo(station_of[subject], readings, subject))
    return found


@dataclass(frozen=True)
class _Counted:
    """What a class's diagnosis follows from: the readings that count, as rows and as readings of
    these answers, and where somebody saw to something; and all of that as a digest.
    """

    answers: Sequence[Answer]
    rows: Sequence[Reading]
    readings: Sequence[domain.Reading]
    seen_to: Sequence[SeenTo]
    fingerprint: str

    def debriefed(self, course_class: CourseClass, key: Key, whole: Diagnosis) -> Debriefed:
        """What a diagnosis makes of it."""
        judged = queries.judged(self.rows, self.readings, self.answers, whole)
        return _debriefed(course_class, key, self.rows, judged, whole)


def _counted(course_class: CourseClass, key: Key) -> _Counted:
    """What a class's diagnosis under a key follows from, now."""
    answers = key.counted()
    rows = queries.readings_that_count(course_class, answers)
    readings = queries.as_readings(key, rows)
    seen_to = _seen_to(course_class, answers, rows)
    made_of = [
        MODEL_VERSION,
        key.pk,
        key.version,
        [row.pk for row in rows],
        [reading.heard_deg for reading in readings if reading.heard_deg is not None],
        [(reading.key, *astuple(reading.reply)) for reading in readings if reading.reply],
        *(astuple(one) for one in seen_to),
    ]
    fingerprint = hashlib.sha256(json.dumps(made_of).encode()).hexdigest()
    return _Counted(answers, rows, readings, seen_to, fingerprint)


def _kept(course_class: CourseClass, counted: _Counted) -> Diagnosis | None:
    """The diagnosis that was kept, if it is of the same."""
    kept = Results.objects.filter(
        course_class=course_class, fingerprint=counted.fingerprint
    ).first()
    return kept.as_domain() if kept else None


def _keep(
    course_class: CourseClass, key: Key, computed: Diagnosis, counted: _Counted, now: datetime
) -> None:
    """Keep a diagnosis. The fit is over: nothing was locked while it ran."""
    plain = diagnosis.to_plain(computed)
    Results.objects.keep(
        Results(
            course_class=course_class,
            model_version=MODEL_VERSION,
            key_version=key.version,
            readings_count=course_class.readings.count(),
            fingerprint=counted.fingerprint,
            computed_at=now,
            known=plain.pop("known"),
            counts=plain.pop("counts"),
            found=plain,
        )
    )

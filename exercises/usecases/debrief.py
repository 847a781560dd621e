"""Diagnose a class, and keep what was found until its readings, its key or the model change."""

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property

from .. import queries
from ..domain.diagnosis import diagnosis, priors
from ..domain.diagnosis.diagnosis import MODEL_VERSION, Diagnosis
from ..models import CourseClass, Experience, Key, Results

# a class that is still coming in is counted again when it has grown by this factor and so many
# readings
GROWN_BY, AT_LEAST = (
    1.3,
    15,
)


@dataclass(frozen=True)
class Debriefed:
    """A class with its key, the readings that count, judged, the people who gave them by their
    keys as text, and the whole diagnosis.
    """

    course_class: CourseClass
    key: Key | None
    answers: tuple
    judged: list
    people: dict
    diagnosis: Diagnosis

    @cached_property
    def by_person(self):
        """The readings of each person, by the person's key as text."""
        groups = {}
        for one in self.judged:
            groups.setdefault(one.person, []).append(one)
        return groups

    def name(self, one):
        """The name of whoever gave a judged reading."""
        return self.people[one.person].name


def _debriefed(course_class, key, rows, judged, diagnosis):
    people = {str(row.person_id): row.person for row in rows}
    return Debriefed(course_class, key, key.counted(), judged, people, diagnosis)


def _empty(course_class):
    """Of a class without a key."""
    return Debriefed(course_class, None, (), [], {}, diagnosis.NOTHING)


def debrief(*, course_class, now):
    """What a class's readings say, from what was kept where that still holds, else computed and
    kept.
    """
    key = queries.current_key(course_class)
    if key is None:
        return _empty(course_class)
    answers = key.counted()
    rows = queries.readings_that_count(course_class, answers)
    readings = queries.as_readings(key, rows)
    found = _kept(course_class, key, rows, readings) or _computed(
        course_class, key, rows, readings, now
    )
    judged = queries.judged(rows, readings, answers, found)
    return _debriefed(course_class, key, rows, judged, found)


def under(*, course_class, key):
    """The same under a key that is not stored, for a preview: nothing is kept, and the diagnosis is
    not computed.
    """
    answers = key.counted()
    rows = queries.readings_that_count(course_class, answers)
    silent = diagnosis.Diagnosis(tuple(diagnosis.Verdict("ok", 1.0) for _ in rows), {}, {}, {}, {})
    judged = queries.judged(rows, queries.as_readings(key, rows), answers, silent)
    return _debriefed(course_class, key, rows, judged, silent)


def debrief_of(*, course_class, people):
    """What the readings of some people say, by what their class knew at its last count: for their
    phone, without fitting the class.
    """
    key = queries.current_key(course_class)
    if key is None:
        return _empty(course_class)
    answers = key.counted()
    rows = queries.counting(
        course_class,
        course_class.readings.filter(person__in=people).select_related("person"),
        answers,
    )
    judged, found = queries.judged_for(course_class, key, rows)
    return _debriefed(course_class, key, rows, judged, found)


def keep_up(*, course_class, now):
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


def beliefs(instructor, before=None):
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


def uncounted(instructor):
    """Closed classes that the present model has not counted yet, oldest first."""
    return (
        CourseClass.objects.filter(owner=instructor, state=CourseClass.State.CLOSED)
        .exclude(results__model_version=MODEL_VERSION)
        .order_by("opened_at")
    )


def _fingerprint(key, rows, readings):
    told = [
        MODEL_VERSION,
        key.pk,
        key.version,
        [row.pk for row in rows],
        [reading.heard_deg for reading in readings if reading.heard_deg is not None],
    ]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def _kept(course_class, key, rows, readings):
    kept = Results.objects.filter(
        course_class=course_class, fingerprint=_fingerprint(key, rows, readings)
    ).first()
    return kept.as_domain() if kept else None


def _computed(course_class, key, rows, readings, now):
    found = diagnosis.diagnose(key.counted(), readings, key.stated())
    plain = diagnosis.to_plain(found)  # the fit is over: nothing was locked while it ran
    Results.objects.update_or_create(
        course_class=course_class,
        defaults={
            "model_version": MODEL_VERSION,
            "key_version": key.version,
            "readings_count": course_class.readings.count(),
            "fingerprint": _fingerprint(key, rows, readings),
            "computed_at": now,
            "known": plain.pop("known"),
            "counts": plain.pop("counts"),
            "found": plain,
        },
    )
    return found

"""What a page needs, in a fixed number of queries."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

from django.db.models import Avg

from .domain.diagnosis import diagnosis
from .domain.results import cohort, grading
from .domain.tasks import telling
from .domain.tasks.answer import Answer
from .domain.tasks.carried_bearing import heard_deg, own_answers, walked_with
from .exchange import rows, writing
from .models import CourseClass, Key, Person, Point, Reading, Results


@dataclass(frozen=True)
class Counted:
    """A reading that counts, with the person, the answer for that person, its grade and its result;
    `heard_deg` as in `evidence.Reading`.
    """

    reading: Reading
    person: Person
    answer: Answer
    grade: grading.Grade
    result: cohort.Result
    heard_deg: float | None = None


def class_by_code(code):
    """The class of a code as typed, or None."""
    return (
        CourseClass.objects.select_related("course__site")
        .filter(code=code.strip().upper()[:12])
        .first()
    )


def known_points(site):
    """The points of a site as the importer compares them, in one query."""
    return [
        rows.Known(
            point.code,
            point.name,
            point.as_domain().position,
            point.accuracy_m,
            point.mark,
            point.is_target,
        )
        for point in site.points.all()
    ]


def usual_height_m(site):
    """The mean height of a site's points, for those surveyed without one; 0 for the first."""
    return site.points.aggregate(mean=Avg("elevation_m"))["mean"] or 0.0


def points_out(site):
    """The points of a site as they are written to files, in two queries."""
    return [
        writing.Out(
            point.code,
            point.name,
            point.latitude,
            point.longitude,
            point.elevation_m,
            point.accuracy_m,
            point.method,
            point.mark,
            point.is_target,
            " ".join(sorted(seen.target.code for seen in point.sees.all())),
        )
        for point in site.points.prefetch_related("sees__target")
    ]


def point_by_card(code):
    """The point on whose card a code stands, or None."""
    return Point.objects.filter(card_code=code.strip().upper()[:12]).first()


def class_on_phone(point, pks):
    """Of the classes with these keys the one that a card of a point belongs to: on its site, open
    before closed, the latest; or None.
    """
    found = CourseClass.objects.filter(pk__in=pks, course__site=point.site_id).exclude(
        state=CourseClass.State.DRAFT
    )
    return max(found, key=lambda one: (one.is_open, one.date, one.pk), default=None)


def current_key(course_class):
    """The newest key of a class, or None before it opens."""
    return course_class.keys.order_by("-version").first()


def counting(course_class, readings, answers):
    """Of each person's attempts at the tasks of some answers the one that counts, in order of
    arrival.

    The first where a hint or the answer is told after it, because later ones know more; the last
    where feedback waits for the end. One that came late, or after the release, counts only where
    there is no other: it may have been copied from the answer. Of those typed from one sheet only
    the last is what the sheet says: the others were slips of whoever typed.
    """
    readings = as_on_sheets(readings)
    first = {
        answer.task: telling.first_counts(telling.policy_of(answer, course_class.feedback))
        for answer in answers
    }
    released_at = course_class.released_at

    def rank(reading):
        knows = released_at is not None and reading.received_at >= released_at
        return (
            knows,
            reading.is_late,
            reading.attempt if first[reading.task] or knows else -reading.attempt,
        )

    chosen = {}
    for reading in sorted(
        (reading for reading in readings if not reading.problem and reading.task in first),
        key=rank,
        reverse=True,
    ):
        chosen[reading.person_id, reading.task] = reading
    return sorted(chosen.values(), key=lambda reading: (reading.received_at, reading.pk))


def as_on_sheets(readings):
    """Readings without those typed from paper that were typed anew, or taken back, since: of one
    sheet only the last is what it says.
    """
    last = {
        (reading.person_id, reading.task): reading
        for reading in sorted(readings, key=lambda reading: reading.attempt)
        if reading.source == Reading.Source.PAPER
    }
    return [
        reading
        for reading in readings
        if reading.source != Reading.Source.PAPER
        or last[reading.person_id, reading.task] is reading
    ]


def latest(readings, answers):
    """Of each person's attempts at the tasks of some answers the last that can be graded, in order
    of arrival: what a phone talks about.
    """
    tasks = {answer.task for answer in answers}
    chosen = {
        (reading.person_id, reading.task): reading
        for reading in sorted(readings, key=lambda reading: reading.attempt)
        if not reading.problem and reading.task in tasks
    }
    return sorted(chosen.values(), key=lambda reading: (reading.received_at, reading.pk))


def readings_that_count(course_class, answers):
    """The readings of a class that count under some answers, with their people, in the order in
    which they were made, in one query.
    """
    return sorted(
        counting(course_class, course_class.readings.select_related("person"), answers),
        key=lambda row: (row.moment, row.pk),
    )


def counted_at(course_class):
    """When a class was counted last, or None."""
    return (
        Results.objects.filter(course_class=course_class)
        .values_list("computed_at", flat=True)
        .first()
    )


def as_readings(key, rows):
    """Rows as plain readings, in their order; those of a field half with the bearing that their
    person had measured by then, whether or not that task still counts.
    """
    by_task = {answer.task: answer for answer in key.as_domain()}
    readings = [row.as_domain(by_task[row.task]) for row in rows]
    before = {by_task[row.task].after for row in rows} - {""}
    if not before:
        return readings
    measured = {}
    stored = as_on_sheets(
        Reading.objects.filter(
            course_class=key.course_class_id,
            task__in=before,
            person__in={row.person_id for row in rows},
        )
    )
    for one in sorted(stored, key=lambda one: (_walked_at(one), one.attempt)):
        if not one.problem:
            measured.setdefault((one.person_id, one.task), []).append(one)
    return [
        _going_on(
            reading,
            by_task[row.task],
            row,
            measured.get((row.person_id, by_task[row.task].after)),
            by_task,
        )
        for reading, row in zip(readings, rows, strict=True)
    ]


def _walked_at(reading):
    """When a number was on the person's mind: what was written on paper from the beginning, for it
    is typed later.
    """
    return (
        datetime.min.replace(tzinfo=UTC)
        if reading.source == Reading.Source.PAPER
        else reading.moment
    )


def _going_on(reading, answer, row, measured, by_task):
    if not measured:
        return reading
    one = measured[walked_with([_walked_at(other) for other in measured], _walked_at(row))]
    return replace(
        reading, heard_deg=heard_deg(answer, by_task[one.task], one.seen(by_task[one.task]))
    )


def as_counted(rows, readings, answers, found):
    """Rows, and the same as plain readings, with their grades and verdicts, as `Counted`; `found`
    is the diagnosis of them, in their order.
    """
    own = own_answers(answers, readings)
    return [
        _counted(row, reading, answer, verdict)
        for row, reading, answer, verdict in zip(rows, readings, own, found.verdicts, strict=True)
    ]


def counted_for(course_class, key, rows):
    """Some people's chosen readings (`counting` or `latest`), judged at once by what their class
    knew at the last count, without fitting it again; and the diagnosis of these people."""
    answers, readings = key.counted(), as_readings(key, rows)
    kept = Results.objects.filter(
        course_class=course_class, key_version=key.version, model_version=diagnosis.MODEL_VERSION
    )
    known = diagnosis.known_from_plain(
        kept.values_list("known", flat=True).first()
    ) or diagnosis.nothing_known(key.stated())
    found = diagnosis.diagnose_people(answers, readings, known)
    return as_counted(rows, readings, answers, found), found


def _counted(row, reading, answer, verdict):
    answer = answer.widened(row.person.wider_band_deg)
    grade = grading.grade(answer, reading.seen)
    result = cohort.Result(
        row.person.name,
        row.task,
        row.text,
        grade.reading_deg,
        grade.error_deg,
        grade.credit,
        verdict.cause,
        verdict.probability,
        verdict.alternatives,
        verdict.detail,
        grade.miss,
    )
    return Counted(row, row.person, answer, grade, result, reading.heard_deg)


@dataclass(frozen=True)
class HeldClass:
    """A closed class with what was found, and the key that it was found under and the first one."""

    course_class: CourseClass
    found: diagnosis.Diagnosis
    answers: tuple
    first_answers: tuple
    points: dict


def held_classes(classes):
    """Closed classes with results, oldest first, in two queries."""
    rows = list(
        Results.objects.filter(
            course_class__in=classes.filter(state=CourseClass.State.CLOSED),
            model_version=diagnosis.MODEL_VERSION,
        )
        .select_related("course_class")
        .order_by("course_class__date", "course_class__pk")
    )
    keys = {}
    for key in Key.objects.filter(course_class__in=[row.course_class_id for row in rows]).order_by(
        "version"
    ):
        keys.setdefault(key.course_class_id, {})[key.version] = key
    return [
        HeldClass(
            row.course_class,
            row.as_domain(),
            keys[row.course_class_id][row.key_version].counted(),
            keys[row.course_class_id][1].as_domain(),
            keys[row.course_class_id][row.key_version].points,
        )
        for row in rows
    ]

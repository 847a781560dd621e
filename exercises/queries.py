"""What a page needs, in a fixed number of queries."""

from dataclasses import replace
from datetime import UTC, datetime
from functools import lru_cache

from django.db.models import Max, Min

from .domain.diagnosis.diagnosis import (
    MODEL_VERSION,
    diagnose_people,
    nothing_known,
    posterior_from_plain,
)
from .domain.earth.zones import zone_at
from .domain.results.judged import judge
from .domain.tasks import attempts, telling
from .domain.tasks.carried_bearing import heard_deg, walked_with
from .domain.tasks.kinds import kind_of
from .exchange import rows, writing
from .models import (
    CourseClass,
    Invitation,
    Key,
    Point,
    Reading,
    Results,
    Survey,
    Task,
    Visible,
)
from .models.prepared import known_of

LATEST_READINGS = 30
FROZEN = ("answers", "points", "priors", "compasses")  # of a key
REMEMBERED = 64  # keys, and what classes had learnt


def class_by_code(code):
    """The class of a code as typed, or None."""
    return (
        CourseClass.objects.kept()
        .select_related("course__site")
        .filter(code=code.strip().upper()[:12])
        .first()
    )


def survey_days(site):
    """The first and the last day on which points of a site were surveyed, or None where no day was
    noted, in one query.
    """
    days = Survey.objects.filter(
        point__site=site, is_set_aside=False, measured_on__isnull=False
    ).aggregate(first=Min("measured_on"), last=Max("measured_on"))
    return (days["first"], days["last"]) if days["first"] else None


def place_of_points(site):
    """Where the points of a site lie, by the first of them; None where it has none."""
    point = site.points.first()
    return point.as_domain().position if point else None


def usual_time_zone(site):
    """The time zone of the latest class on a site, whatever somebody chose there; before the first,
    that of its place.
    """
    chosen = CourseClass.objects.filter(course__site=site).order_by("-pk")
    return chosen.values_list("time_zone", flat=True).first() or zone_at(site.position())


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


def visible_pairs(site):
    """The (station, target) codes that are noted as seen on a site, in one query."""
    return list(
        Visible.objects.filter(station__site=site)
        .order_by("station__code", "target__code")
        .values_list("station__code", "target__code")
    )


def tasks_along(site):
    """The tasks of a site's courses by the line (station, target), as codes, that they need to be
    seen, in one query.
    """
    asked = {}
    tasks = Task.objects.filter(course__site=site).select_related(
        "course", "station", "target", "second", "third"
    )
    for task in tasks.order_by("course__name", "course", "number"):
        for line in kind_of(task.kind).lines_looked_along(task.as_domain()):
            asked.setdefault(line, []).append(task)
    return asked


def point_by_card(code):
    """The point on whose card a code stands, or None."""
    return Point.objects.filter(card_code=code.strip().upper()[:12], site__removed_at=None).first()


def is_invitation(code):
    """Whether a code gives, or gave, a role in some class."""
    return Invitation.objects.filter(code=code[:12]).exists()


def class_on_phone(point, pks):
    """Of the classes with these keys the one that a card of a point belongs to: on its site, open
    before closed, the latest; or None.
    """
    classes = (
        CourseClass.objects.kept()
        .filter(pk__in=pks, course__site=point.site_id)
        .exclude(state=CourseClass.State.DRAFT)
    )
    return max(
        classes,
        key=lambda course_class: (course_class.is_open, course_class.date, course_class.pk),
        default=None,
    )


def current_key(course_class):
    """The newest key of a class, or None before it opens."""
    return _whole(course_class.keys.order_by("-version").defer(*FROZEN).first())


def key_with(course_class, columns):
    """The key of a class of which the small columns were fetched with something else, or None where
    they are of none.
    """
    fetched = {**columns, "course_class_id": course_class.pk}
    return _whole(known_of(Key, fetched) if columns["id"] else None)


def _whole(key):
    """A key with what is large in it, which is read once in a process: a key never changes."""
    if key:
        vars(key).update(_frozen(key.pk, key.frozen_at))
    return key


@lru_cache(maxsize=REMEMBERED)
def _frozen(pk, frozen_at):
    """What is large in a key, and its answers as they are read; `frozen_at` tells it from another
    that had its number in a database that was put back.
    """
    key = Key.objects.only(*FROZEN).get(pk=pk)
    frozen = {name: getattr(key, name) for name in FROZEN}
    return frozen | {"_answers": key.as_domain(), "evidence": key.evidence}


def arrivals(course_class):
    """The people of a class with how many tasks they have sent, the latest readings, and how many
    tasks there are, in a fixed number of queries.
    """
    readings = list(
        course_class.readings.select_related("person__same_as").order_by("-received_at", "-pk")[
            :LATEST_READINGS
        ]
    )
    sent = {}
    given = course_class.readings.values_list("person", "person__same_as", "task")
    for person, same_as, task in given.distinct():
        sent.setdefault(same_as or person, set()).add(task)
    key = current_key(course_class)
    return {
        "people": [
            (person, len(sent.get(person.pk, ())))
            for person in course_class.people.listed().select_related("compass")
        ],
        "latest": readings,
        "tasks_count": len(key.answers) - len(key.dropped)
        if key
        else course_class.course.tasks.count(),
    }


def counting(course_class, readings, answers):
    """Of some readings those that count under some answers, in order of arrival."""
    first_counts = {
        answer.task: telling.first_counts(telling.policy_of(answer, course_class.feedback))
        for answer in answers
    }
    return _chosen(
        readings,
        lambda tried: attempts.counting(tried, first_counts, course_class.released_at),
    )


def latest(readings, answers):
    """Of some readings those that a phone talks about under some answers, in order of arrival."""
    tasks = {answer.task for answer in answers}
    return _chosen(readings, lambda tried: attempts.latest(tried, tasks))


def tries(readings):
    """How often people tried tasks knowing what the try before let them know, by (person, task)."""
    return attempts.tries(attempts.numbered([reading.as_attempt() for reading in readings]))


def _chosen(readings, choose):
    """The readings whose attempts are chosen, in the order in which these come."""
    by_key = {reading.pk: reading for reading in readings}
    return [
        by_key[attempt.key]
        for attempt in choose(
            attempts.numbered([reading.as_attempt() for reading in by_key.values()])
        )
    ]


def readings_that_count(course_class, answers):
    """The readings of a class that count under some answers, with their people, in the order in
    which they were made, in two queries.
    """
    return sorted(
        counting(course_class, course_class.readings.of_whole_class(), answers),
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
    measured = _measured(key, before, rows)
    return [
        _going_on(reading, row, by_task, measured)
        for reading, row in zip(readings, rows, strict=True)
    ]


def _measured(key, tasks, rows):
    """What the people of some rows measured at some tasks, by (person, task), in the order in which
    they had it in mind.
    """
    stored = (
        Reading.objects.of({row.whose.pk for row in rows})
        .filter(course_class=key.course_class_id, task__in=tasks)
        .select_related("person__same_as")
    )
    on_sheets = _chosen(stored, attempts.as_on_sheets)
    measured = {}
    for row in sorted(on_sheets, key=lambda row: (_walked_at(row), row.attempt)):
        if not row.problem:
            measured.setdefault((row.whose.pk, row.task), []).append(row)
    return measured


def _walked_at(reading):
    """When a number was on the person's mind: what was written on paper from the beginning, for it
    is typed later.
    """
    return (
        datetime.min.replace(tzinfo=UTC)
        if reading.source == Reading.Source.PAPER
        else reading.moment
    )


def _going_on(reading, row, by_task, measured):
    """A reading with the bearing that its person went on with, where there is one."""
    answer = by_task[row.task]
    measured_before = measured.get((row.whose.pk, answer.after))
    if not measured_before:
        return reading
    before = measured_before[
        walked_with([_walked_at(other) for other in measured_before], _walked_at(row))
    ]
    asked = by_task[before.task]
    return replace(reading, heard_deg=heard_deg(answer, asked, asked.form.restore(before)))


def judged(rows, readings, answers, diagnosis):
    """Readings with their grades and verdicts, as `Judged`. `rows` hold their people, and
    `diagnosis` is that of the readings, in their order.
    """
    wider_deg = {str(person.pk): person.wider_band_deg for person in {row.whose for row in rows}}
    return judge(answers, readings, diagnosis.verdicts, wider_deg)


def judged_for(course_class, key, rows, not_asked=()):
    """Some people's chosen readings (`counting` or `latest`), judged at once by what their class
    knew at the last count, without fitting it again; and the diagnosis of these people. Of those in
    `not_asked`, by their keys as text, nothing is asked.
    """
    answers, readings = key.counted(), as_readings(key, rows)
    kept = Results.objects.filter(
        course_class=course_class, key_version=key.version, model_version=MODEL_VERSION
    )
    last = kept.values_list("pk", "fingerprint").first()
    known = (last and _learnt(*last)) or nothing_known(key.stated(), key.known_compasses())
    diagnosis = diagnose_people(
        answers, readings, known, evidence=key.evidence, not_asked=not_asked
    )
    return judged(rows, readings, answers, diagnosis), diagnosis


@lru_cache(maxsize=REMEMBERED)
def _learnt(pk, fingerprint):
    """What a class had learnt at a count, read once in a process."""
    rows = Results.objects.filter(pk=pk).values_list("known", flat=True)
    return posterior_from_plain(rows.first())


def forget():
    """Forget what this process has read of keys and counts."""
    _frozen.cache_clear()
    _learnt.cache_clear()

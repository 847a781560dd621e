"""Three tables in, three tables out: grading without a database."""

from collections import Counter
from datetime import date

from ..domain.diagnosis.diagnosis import diagnose
from ..domain.diagnosis.residuals import Reading
from ..domain.earth import angles, geodesy, magnetics, norths
from ..domain.results import grading
from ..domain.tasks import key
from ..domain.tasks.answer import NoAnswer
from ..domain.tasks.carried_bearing import own_answers, with_heard
from ..domain.tasks.kinds import UNREADABLE, kind_of
from ..domain.tasks.site import Site, UnknownPoint
from . import tables

REFUSALS = (
    geodesy.SamePoint,
    geodesy.UnsuitableGrid,
    magnetics.NoDeclination,
    norths.UnknownNorth,
    NoAnswer,
    UnknownPoint,
)
GRADED = (
    "person",
    "task",
    "answer",
    "expected_deg",
    "error_deg",
    "credit",
    "cause",
    "cause_probability",
    "alternatives",
    "detail",
    "error_true_deg",
    "error_grid_deg",
    "error_magnetic_deg",
    "compass",
    "line_bias_deg",
    "line_fault_probability",
    "expected_place",
    "error_m",
    "error_ellipses",
    "along_m",
    "across_m",
)
PEOPLE = (
    "person",
    "offset_deg",
    "habit",
    "habit_probability",
    "scatter_deg",
    "readings",
    "credit",
    "offset_se",
    "offset_probability",
    "compass",
    "compass_offset_deg",
    "compass_fault_probability",
    "compass_reversed_probability",
)
STATIONS = (
    "point",
    "bias_deg",
    "bias_se",
    "fault_probability",
    "readings",
    "since_reading",
    "until_reading",
)


def grade_tables(points, course, readings, *, on: date, grid_epsg=None):
    """Result tables by file name, each as (columns, records), for three paths. Raises
    tables.BadTable or OSError.
    """
    with open(points, encoding="utf-8-sig", newline="") as stream:
        site = Site(tables.read_points(points.name, stream), {}, grid_epsg)
    with open(course, encoding="utf-8-sig", newline="") as stream:
        tasks = tables.read_course(course.name, stream, site.points)
    answers = {}
    for task, row in tasks:
        try:
            answers[task.label] = key.compute([task], site, on)[0]
        except REFUSALS as error:
            raise row.complaint("task", str(error)) from error
    answers = {answer.task: answer for answer in key.compute([task for task, _ in tasks], site, on)}
    with open(readings, encoding="utf-8-sig", newline="") as stream:
        given = list(read_readings(readings.name, stream, answers))
    return result_tables(answers, given)


def read_readings(file, stream, answers):
    """(text, Reading) for each row of a table of readings, which stand in the order of time. A
    number over 360 is kept and read as mils.
    """
    for row in tables.rows(file, stream, tables.READING_COLUMNS):
        person, label, text = row.required("person"), row.required("task"), row.required("answer")
        if label not in answers:
            raise row.complaint("task", f"there is no task “{label[:40]}” in the course.")
        answer = answers[label]
        try:
            seen = (
                angles.parse_bearing_on_paper(text)
                if kind_of(answer.kind).widget == "bearing"
                else kind_of(answer.kind).parse(answer, text)
            )
        except UNREADABLE as error:
            raise row.complaint("answer", str(error)) from error
        yield text, Reading(person, label, seen, row["compass"])


def result_tables(answers, given):
    """The three tables of a class: graded readings in the order given, people, stations."""
    readings = with_heard(tuple(answers.values()), [reading for _, reading in given])
    found = diagnose(tuple(answers.values()), readings)
    graded, credit, readings_at = (
        [],
        {},
        Counter(answers[reading.task].station for _, reading in given),
    )
    own = own_answers(tuple(answers.values()), readings)
    for (text, reading), answer, verdict in zip(given, own, found.verdicts, strict=True):
        grade = grading.grade(answer, reading.seen)
        credit.setdefault(reading.person, []).append(grade.credit)
        graded.append(
            (
                reading.person,
                reading.task,
                text,
                *(
                    ("", "")
                    if grade.miss
                    else (_three(answer.expected_deg), _three(grade.error_deg))
                ),
                f"{grade.credit:g}",
                verdict.cause,
                f"{verdict.probability:.4f}",
                ";".join(f"{code}:{p:.4f}" for code, p in verdict.alternatives),
                verdict.detail,
                *(
                    _three(grade.errors_deg[north]) if grade.errors_deg else ""
                    for north in ("true", "grid", "magnetic")
                ),
                reading.compass,
                *_line(found.lines.get(reading.task)),
                *_place(answer, grade.miss),
            )
        )
    compass_of = {reading.person: reading.compass for _, reading in given}
    people = [
        _person(
            name, found.people[name], own, compass_of[name], found.compasses.get(compass_of[name])
        )
        for name, own in credit.items()
    ]
    stations = [
        (
            code,
            _three(bias.degrees),
            _three(bias.error_deg),
            f"{bias.fault_probability:.4f}",
            readings_at[code],
            _row(bias.since),
            _row(bias.until),
        )
        for code, bias in found.stations.items()
    ]
    return {
        "graded.csv": (GRADED, graded),
        "people.csv": (PEOPLE, people),
        "stations.csv": (STATIONS, stations),
    }


def _person(name, person, credit, number, compass):
    """A person's record; the columns of the compass are empty for one that nobody else read
    with.
    """
    shared = (
        (
            _three(compass.offset.degrees),
            f"{compass.offset.fault_probability:.4f}",
            f"{compass.reversed_probability:.4f}",
        )
        if compass
        else ("", "", "")
    )
    return (
        name,
        _three(person.offset_deg),
        person.habit,
        f"{person.habit_probability:.4f}",
        f"{person.scatter_deg:.2f}",
        len(credit),
        f"{sum(credit):g}",
        _three(person.offset_error_deg),
        f"{person.offset_probability:.4f}",
        number,
        *shared,
    )


def _line(bias):
    return (_three(bias.degrees), f"{bias.fault_probability:.4f}") if bias else ("", "")


def _place(answer, miss):
    """The right spot, and how far off a place is; empty for a bearing."""
    return (
        (
            answer.where.right,
            *(f"{value:.1f}" for value in (miss.error_m, miss.units, miss.along_m, miss.across_m)),
        )
        if miss
        else ("",) * 5
    )


def _row(place):
    """A reading's number in the file as people count, from 1; empty for none."""
    return "" if place is None else place + 1


def _three(degrees):
    return f"{degrees:.3f}"

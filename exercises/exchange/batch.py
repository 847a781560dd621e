"""Three tables in, three tables out: grading without a database."""

from collections import Counter
from datetime import date

from ..domain.diagnosis.diagnosis import diagnose
from ..domain.diagnosis.questions import QUESTIONS
from ..domain.earth import geodesy, magnetics, norths
from ..domain.results.judged import judge
from ..domain.tasks import key
from ..domain.tasks.answer import NoAnswer
from ..domain.tasks.carried_bearing import with_heard
from ..domain.tasks.forms import UNREADABLE
from ..domain.tasks.reading import Reading, Reply
from ..domain.tasks.site import Compass, Site, UnknownPoint
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
    "unit",
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
    "own_offset_deg",
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
COMPASSES = (
    "compass",
    "offset_deg",
    "offset_se",
    "fault_probability",
    "reversed_probability",
    "readings",
    "people",
)
LINES = (
    "task",
    "from",
    "to",
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
    answers = {answer.task: answer for answer in _answers(tasks, site, on)}
    with open(readings, encoding="utf-8-sig", newline="") as stream:
        given = list(read_readings(readings.name, stream, answers))
    return result_tables(answers, given)


def _answers(tasks, site, on):
    """The answers of a course, whose tasks come with their rows. Raises tables.BadTable, with the
    row that has none.
    """
    try:
        return key.compute([task for task, _ in tasks], site, on)
    except REFUSALS:
        for task, row in tasks:
            try:
                key.compute([task], site, on)
            except REFUSALS as error:
                raise row.complaint("task", str(error)) from error
        raise


def read_readings(file, stream, answers):
    """A `Reading` for each row of a table of readings, which stand in the order of time. A number
    over 360 is kept and read as mils, unless the column `unit` says that the compass is marked in
    mils.
    """
    for row in tables.rows(file, stream, tables.READING_COLUMNS):
        person, label, text = row.required("person"), row.required("task"), row.required("answer")
        if label not in answers:
            raise row.complaint("task", f"there is no task “{label[:40]}” in the course.")
        answer, instrument = answers[label], _instrument(row)
        try:
            seen = answer.form.parse_on_paper(answer, text, instrument.unit)
        except UNREADABLE as error:
            raise row.complaint("answer", str(error)) from error
        yield Reading(
            person,
            label,
            seen,
            row["compass"],
            instrument,
            text=text,
            reply=_reply(row, answer),
        )


def _instrument(row):
    """A compass of the unit of a row, of the usual graduation. Raises tables.BadTable for a unit
    that is none.
    """
    unit = tables.UNIT_NAMES.get(row["unit"].lower())
    if unit is None:
        raise row.complaint("unit", f"use one of: {', '.join(filter(None, tables.UNIT_NAMES))}.")
    return Compass(unit.degrees(unit.usual_step), unit=unit)


def _reply(row, answer):
    """What was said to a question about a reading, from the columns `question` and `reply`, which
    may be missing. Raises tables.BadTable for what is none.
    """
    if not row["question"]:
        return None
    question = QUESTIONS.get(row["question"])
    if question is None:
        raise row.complaint("question", f"use one of: {', '.join(QUESTIONS)}.")
    if row["reply"] and not question.takes(answer, row["reply"]):
        raise row.complaint("reply", f"use one of: {', '.join(question.replies(answer))}.")
    return Reply(question.code, row["reply"])


def result_tables(answers, given):
    """The tables of a class: graded readings in the order given, people, stations, the compasses
    that can be told from their people, and the sight lines.
    """
    course = tuple(answers.values())
    readings = with_heard(course, given)
    diagnosis = diagnose(course, readings)
    judged = judge(course, readings, diagnosis.verdicts, wider_deg={})
    return {
        "graded.csv": (
            GRADED,
            [_graded(judgement, diagnosis.lines.get(judgement.task)) for judgement in judged],
        ),
        "people.csv": (PEOPLE, list(_people(judged, diagnosis))),
        "stations.csv": (STATIONS, list(_stations(judged, diagnosis))),
        "compasses.csv": (COMPASSES, list(_compasses(judged, diagnosis))),
        "lines.csv": (LINES, list(_lines(answers, judged, diagnosis))),
    }


def _graded(judged, line):
    """The record of one judged reading, and of the bias of its line, which may be None."""
    reading, verdict = judged.reading, judged.verdict
    figures = judged.answer.form.figures(judged.answer, judged.grade)
    cells = {
        "person": reading.person,
        "task": reading.task,
        "answer": reading.text,
        "credit": f"{judged.credit:g}",
        "cause": verdict.cause,
        "cause_probability": f"{verdict.probability:.4f}",
        "alternatives": ";".join(f"{code}:{p:.4f}" for code, p in verdict.alternatives),
        "detail": verdict.detail,
        "compass": reading.compass,
        "unit": reading.instrument.unit.code,
        "line_bias_deg": _three(line.degrees) if line else "",
        "line_fault_probability": f"{line.fault_probability:.4f}" if line else "",
        **{column: _figure(column, value) for column, value in figures.items()},
    }
    return tuple(cells.get(column, "") for column in GRADED)


def _figure(column, value):
    """A figure of a grade: degrees to the thousandth, metres and ellipses to the tenth."""
    if isinstance(value, str):
        return value
    return _three(value) if column.endswith("_deg") else f"{value:.1f}"


def _people(judged, diagnosis):
    """The record of each person, in the order in which they appear."""
    credits, compass_of = {}, {}
    for judgement in judged:
        credits.setdefault(judgement.person, []).append(judgement.credit)
        compass_of[judgement.person] = judgement.reading.compass
    for name, credit in credits.items():
        number = compass_of[name]
        yield _person(name, diagnosis.people[name], credit, number, diagnosis.compasses.get(number))


def _stations(judged, diagnosis):
    """The record of each station that was judged."""
    readings_at = Counter(judgement.answer.station for judgement in judged)
    for code, bias in diagnosis.stations.items():
        yield (
            code,
            _three(bias.degrees),
            _three(bias.error_deg),
            f"{bias.fault_probability:.4f}",
            readings_at[code],
            _row(bias.since),
            _row(bias.until),
        )


def _compasses(judged, diagnosis):
    """The record of each compass that was judged."""
    readings, people = Counter(), {}
    for judgement in judged:
        number = judgement.reading.compass
        readings[number] += 1
        people.setdefault(number, set()).add(judgement.person)
    for number, compass in diagnosis.compasses.items():
        yield (
            number,
            _three(compass.offset.degrees),
            _three(compass.offset.error_deg),
            f"{compass.offset.fault_probability:.4f}",
            f"{compass.reversed_probability:.4f}",
            readings[number],
            len(people[number]),
        )


def _lines(answers, judged, diagnosis):
    """The record of each sight line that was judged; its bias is beyond that of its station."""
    readings = Counter(judgement.task for judgement in judged)
    for task, bias in diagnosis.lines.items():
        yield (
            task,
            answers[task].station,
            answers[task].target,
            _three(bias.degrees),
            _three(bias.error_deg),
            f"{bias.fault_probability:.4f}",
            readings[task],
            _row(bias.since),
            _row(bias.until),
        )


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
        _three(person.own_deg),
    )


def _row(place):
    """A reading's number in the file as people count, from 1; empty for none."""
    return "" if place is None else place + 1


def _three(degrees):
    return f"{degrees:.3f}"

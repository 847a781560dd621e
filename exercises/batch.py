"""Three tables in, three tables out: grading without a database."""
from datetime import date

from . import tables
from .domain import angles, cohort, geodesy, grading, key, magnetics, norths
from .domain.diagnosis import diagnose
from .domain.evidence import Reading
from .domain.kinds import convert, follow, kind_of
from .domain.site import Site, UnknownPoint

REFUSALS = (geodesy.SamePoint, geodesy.UnsuitableGrid, magnetics.NoDeclination, norths.UnknownNorth, convert.NothingGiven, UnknownPoint)
GRADED = ("person", "task", "answer", "expected_deg", "error_deg", "credit", "cause", "cause_probability", "alternatives",
          "detail", "error_true_deg", "error_grid_deg", "error_magnetic_deg", "compass")
PEOPLE = ("person", "offset_deg", "habit", "habit_probability", "readings", "credit")
STATIONS = ("point", "bias_deg", "bias_se", "fault_probability", "readings")


def grade_tables(points, course, readings, *, on: date, grid_epsg=None):
    """Result tables by file name, each as (columns, records), for three paths. Raises tables.BadTable or OSError."""
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
    """(text, Reading) for each row of a table of readings. A number over 360 is kept and read as mils."""
    for row in tables.rows(file, stream, tables.READING_COLUMNS):
        person, label, text = row.required("person"), row.required("task"), row.required("answer")
        if label not in answers:
            raise row.complaint("task", f"there is no task “{label[:40]}” in the course.")
        answer = answers[label]
        try:
            seen = (angles.parse_bearing_on_paper(text) if kind_of(answer.kind).widget == "bearing"
                    else kind_of(answer.kind).parse(answer, text))
        except (angles.NotABearing, follow.NotATarget) as error:
            raise row.complaint("answer", str(error)) from error
        yield text, Reading(person, label, seen, row["compass"])


def result_tables(answers, given):
    """The three tables of a class: graded readings in the order given, people, stations."""
    verdicts = diagnose(tuple(answers.values()), [reading for _, reading in given])
    graded, results = [], []
    for (text, reading), verdict in zip(given, verdicts, strict=True):
        answer = answers[reading.task]
        grade = grading.grade(answer, reading.seen)
        results.append(cohort.Result(reading.person, reading.task, text, grade.reading_deg, grade.error_deg, grade.credit,
                                     verdict.cause, verdict.probability, verdict.alternatives, verdict.detail))
        graded.append((
            reading.person, reading.task, text, _three(answer.expected_deg), _three(grade.error_deg), f"{grade.credit:g}", verdict.cause,
            f"{verdict.probability:.4f}", ";".join(f"{code}:{p:.4f}" for code, p in verdict.alternatives), verdict.detail,
            *(_three(grade.errors_deg[north]) for north in ("true", "grid", "magnetic")), reading.compass))
    return {"graded.csv": (GRADED, graded), "people.csv": (PEOPLE, _people(results)),
            "stations.csv": (STATIONS, _stations(answers, results))}


def _three(degrees):
    return f"{degrees:.3f}"


def _by(results, name):
    groups = {}
    for result in results:
        groups.setdefault(name(result), []).append(result)
    return groups


def _people(results):
    for person, own in _by(results, lambda result: result.person).items():
        offset_deg, _ = cohort.offset(own)
        code, probability = cohort.habit(own)
        yield person, _three(offset_deg), code, f"{probability:.4f}", len(own), f"{sum(result.credit for result in own):g}"


def _stations(answers, results):
    for station, own in _by(results, lambda result: answers[result.task].station).items():
        bias_deg, error_deg = cohort.offset(own)
        yield station, _three(bias_deg), _three(error_deg), f"{cohort.fault_probability(own):.4f}", len(own)

"""The results of a class as a table for a spreadsheet: one record a reading."""

from ..domain.diagnosis.diagnosis import MODEL_VERSION
from .answers import words_of

RESULT_COLUMNS = (
    "person",
    "task",
    "attempt",
    "answer_as_given",
    "reading_deg",
    "north",
    "expected_deg",
    "error_deg",
    "error_true_deg",
    "error_grid_deg",
    "error_magnetic_deg",
    "credit",
    "cause",
    "cause_probability",
    "alternatives",
    "measured_at",
    "received_at",
    "late",
    "compass",
    "declination_set",
    "counts",
    "key_version",
    "model_version",
    "expected_place",
    "error_m",
    "error_ellipses",
    "along_m",
    "across_m",
    "unit",
    "person_percent",
    "person_needs_percent",
    "person_passed",
)
DECIMALS = {"deg": 2, "m": 1, "ellipses": 1}  # by the unit at the end of a column's name


def result_records(whole, rows):
    """Records under RESULT_COLUMNS: the readings that count, judged, then the rest of `rows`, the
    class's readings with their people. `whole` is a `Debriefed`.
    """
    row_of = {row.pk: row for row in rows}
    version = whole.key.version if whole.key else ""
    counting = set()
    passed = {key: _passed(whole.passing(person)) for key, person in whole.people.items()}
    for judgement in whole.judged:
        counting.add(judgement.reading.key)
        yield _record(
            row_of[judgement.reading.key],
            counts="yes",
            key_version=version,
            model_version=MODEL_VERSION,
            **_judged(judgement),
            **passed[judgement.person],
        )
    for row in rows:
        if row.pk not in counting:
            yield _record(row, counts="no", key_version=version)


def _passed(found):
    """What the rule of the class says of a person; nothing without a rule."""
    if found is None:
        return {}
    return {
        "person_percent": found.percent,
        "person_needs_percent": found.rule.share,
        "person_passed": "yes" if found.passed else "no",
    }


def _record(row, **judged):
    """A reading's record: how it came to us, and what was found."""
    came = {
        "person": row.whose.name,
        "task": row.task,
        "attempt": row.attempt,
        "answer_as_given": row.text,
        "measured_at": row.measured_at.isoformat(timespec="seconds") if row.measured_at else "",
        "received_at": row.received_at.isoformat(timespec="seconds"),
        "late": "yes" if row.is_late else "no",
        "compass": row.compass_number,
        "unit": row.unit,
        "declination_set": "yes" if row.compass_declination_is_set else "no",
    }
    cells = came | judged
    return tuple(cells.get(column, "") for column in RESULT_COLUMNS)


def _judged(judgement):
    """What was found of a judged reading."""
    verdict = judgement.verdict
    figures = {
        column: _rounded(column, value)
        for column, value in judgement.answer.form.figures(
            judgement.answer, judgement.grade
        ).items()
    }
    if "expected_place" in figures:
        figures["expected_place"] = words_of(judgement.answer).answer_text(judgement.answer)
    return {
        "north": judgement.answer.north,
        "credit": judgement.credit,
        "cause": verdict.cause,
        "cause_probability": round(verdict.probability, 3),
        "alternatives": ";".join(
            f"{code}:{probability:.3f}" for code, probability in verdict.alternatives
        ),
        **figures,
    }


def _rounded(column, value):
    return value if isinstance(value, str) else round(value, DECIMALS[column.rpartition("_")[2]])

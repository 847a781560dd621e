"""The key of a class as a table: each task with its answers, band, uncertainty and findings."""

from ..domain.planning import course_check
from ..domain.planning.answer_checks import chance_of_full_credit
from .answers import words_of
from .findings import said
from .ground_check import observed_text
from .lengths import desk_length
from .probabilities import percent
from .units import IN_DEGREES


def key_rows(answers, observed, angles=IN_DEGREES):
    """A row for each answer, ready to print; `observed` is what was observed on the ground, by
    task; `angles` are the words of what the class's compasses are marked in.
    """
    findings = said(course_check.findings(answers))
    return [
        _row(
            answer,
            [finding for finding in findings if finding.task == answer.task],
            observed.get(answer.task),
            angles,
        )
        for answer in answers
    ]


def _row(answer, findings, observed, angles):
    words = words_of(answer)
    full, part, unit = answer.form.limits(answer.band)
    return {
        "answer": answer,
        "text": words.answer_text(answer, angles),
        "line": words.line_text(answer),
        "norths": words.side_texts(answer, angles),
        "length": desk_length(length_m) if (length_m := words.length_m(answer)) else "",
        "full": full,
        "part": part,
        "unit": unit,
        "chance": percent(chance_of_full_credit(answer)),
        "uncertainty": words.uncertainty_text(answer),
        "findings": findings,
        "wrong": words.likely_wrong(answer, angles),
        "observed": observed_text(observed, answer) if observed else "",
    }

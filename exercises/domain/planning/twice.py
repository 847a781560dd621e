"""Answers of a course that give one another away: told in another task, or asked twice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from .findings import Finding


def given_away(answers: Sequence[Answer]) -> Iterator[Finding]:
    """A bearing that one task asks for and another tells: who follows T1 along 074 need not sight
    it.
    """
    telling = {kind_of(answer.kind).line_told(answer): answer.task for answer in answers}
    for answer in answers:
        line = kind_of(answer.kind).line_asked(answer)
        if line is not None and line in telling:
            values = {"other": telling[line], "station": line[0], "target": line[1]}
            yield Finding("given_away", answer.task, values)


def asked_twice(answers: Sequence[Answer]) -> Iterator[Finding]:
    """Places that are asked twice with the same answer: who has heard it need not work."""
    first: dict[tuple[str, str], str] = {}
    for answer in answers:
        heard = answer.form.heard_elsewhere(answer)
        if heard is None:
            continue
        before = first.setdefault(heard, answer.task)
        if before != answer.task:
            values = {"one": before, "other": answer.task, "spot": heard[1]}
            yield Finding("copied_answer_passes", answer.task, values)

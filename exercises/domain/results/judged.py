"""One reading with all that was found of it: the end of its way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..diagnosis.verdicts import Verdict
from ..tasks.answer import Answer
from ..tasks.carried_bearing import own_answers
from ..tasks.forms.base import Grade
from ..tasks.reading import Reading


@dataclass(frozen=True)
class Judged:
    """A reading that counts, the answer as it is for its person, its grade and its verdict."""

    reading: Reading
    answer: Answer
    grade: Grade
    verdict: Verdict

    @property
    def person(self) -> str:
        """Who gave it."""
        return self.reading.person

    @property
    def task(self) -> str:
        """The label of its task."""
        return self.reading.task

    @property
    def credit(self) -> float:
        """1, 0.5 or 0."""
        return self.grade.credit

    @property
    def cause(self) -> str:
        """The code of its likeliest cause."""
        return self.verdict.cause


def judge(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    verdicts: Sequence[Verdict],
    wider_deg: Mapping[str, float | None],
) -> list[Judged]:
    """Readings with their answers, grades and verdicts, in their order. `wider_deg` is the wider
    full-credit band of people who have one, by person.
    """
    judged = []
    for reading, answer, verdict in zip(
        readings, own_answers(answers, readings), verdicts, strict=True
    ):
        widened = answer.widened(wider_deg.get(reading.person))
        judged.append(Judged(reading, widened, widened.grade(reading.seen), verdict))
    return judged

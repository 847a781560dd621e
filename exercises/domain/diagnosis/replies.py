"""What people replied to questions about their readings, as factors of the likelihood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..mistakes.causes import parts
from ..tasks.answer import Answer
from ..tasks.reading import Reading
from .arrays import Floats
from .priors import HABITS, STATED
from .questions import SAYINGS, Way
from .residuals import CODES, Residuals
from .way_weights import WayWeights, soundness

USUAL_DEG = 3.0  # scatter by which the slip is guessed that a reply goes with
USUAL = WayWeights(STATED)


@dataclass(frozen=True)
class Heard:
    """How probable each reply is, 1 where nothing was said.

    `sound` (readings, habits) where nothing happened but a habit, by what acts of it; `slip`
    (readings,) where a slip did, the likeliest one; `nothing` (readings,) where the answer comes of
    nothing or was copied; `by_way`, by the index of a reading with a reply, (ways,) on each of the
    ways of its row.
    """

    sound: Floats
    slip: Floats
    nothing: Floats
    by_way: dict[int, Floats]


def heard(
    answers: Sequence[Answer], readings: Sequence[Reading], residuals: Residuals
) -> Heard | None:
    """What was said of some readings; None where nobody was asked."""
    by_task = {answer.task: answer for answer in answers}
    found = Heard(
        np.ones((len(readings), len(HABITS))), np.ones(len(readings)), np.ones(len(readings)), {}
    )
    for index, reading in enumerate(readings):
        answer = by_task[reading.task]
        if _is_said(answer, reading):
            _hear(found, index, answer, reading, residuals)
    return found if found.by_way else None


def _is_said(answer: Answer, reading: Reading) -> bool:
    """Whether something was replied that can be a reply here."""
    if reading.reply is None or reading.reply.question not in SAYINGS:
        return False
    return SAYINGS[reading.reply.question].takes(answer, reading.reply.said)


def _hear(found: Heard, index: int, answer: Answer, reading: Reading, residuals: Residuals) -> None:
    """Note the factors of one reply."""
    assert reading.reply is not None
    question, said = SAYINGS[reading.reply.question], reading.reply.said
    known: dict[tuple[frozenset[str], str], float] = {}

    def likelihood(codes: frozenset[str], detail: str = "") -> float:
        if (codes, detail) not in known:
            way = Way(codes, detail, 1.0)
            known[codes, detail] = question.likelihood(answer, reading.instrument, way, said)
        return known[codes, detail]

    found.sound[index] = [likelihood(frozenset(parts(habit)) - {"ok"}) for habit in HABITS]
    found.nothing[index] = question.of_nothing(answer, said)
    row = residuals.row_of[index]
    ways = slice(*np.searchsorted(residuals.row, (row, row + 1)))
    habit, slip = residuals.habit[ways], residuals.slip[ways]
    factors = np.array(
        [
            likelihood(frozenset({CODES[one], CODES[other]}) - {"ok"}, detail)
            for one, other, detail in zip(
                habit.tolist(), slip.tolist(), residuals.detail[ways].tolist(), strict=True
            )
        ]
    )
    found.by_way[index] = factors
    nearness = np.exp(-0.5 * (residuals.residual_deg[ways] / USUAL_DEG) ** 2)
    likeliest = USUAL.of(habit, slip)[:, 0] * residuals.share[ways] * nearness
    likeliest *= ~soundness()[habit, slip][:, 0]
    found.slip[index] = factors[likeliest.argmax()]

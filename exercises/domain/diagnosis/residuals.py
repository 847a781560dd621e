"""What each habit and slip says of each reading, as arrays: the part of the diagnosis that needs no
opinion.

Readings repeat (whole degrees, few tasks), so the rows are made once for each different task,
compass and answer, and readings point at them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from ..earth.angles import difference
from ..mistakes import causes
from ..mistakes.predictions import Meant, Prediction
from ..tasks.answer import Answer
from ..tasks.carried_bearing import own_answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import kind_of, reads_needle
from ..tasks.reading import Reading
from ..tasks.site import Compass
from .arrays import Flags, Floats, Indices

CODES = causes.CODES
INDEX = {code: place for place, code in enumerate(CODES)}
HIDES_DEG = 1.0  # half of what a two-degree dial shows
GRADUATIONS_DEG = (1.0, 2.0, 5.0)
WAY_COLUMNS = (
    "row",
    "habit",
    "slip",
    "residual_deg",
    "sign",
    "share",
    "half_width_deg",
    "felt",
    "detail",
)
# how often people know their dial's step, and write a number between; common practice, no source
AS_STATED, OFF_GRADUATION = 0.6, 0.1
WHOLE_DEGREE = 1.0


@dataclass(frozen=True)
class Residuals:
    """The ways to every different answer. Arrays over ways, one entry each, ordered by row:

    `row` is the different answer it belongs to; `habit` and `slip` are indices into `CODES`;
    `residual_deg` is seen minus predicted, wrapped; `sign` how it moves with the needle; `share`
    the prior weight within habit and slip, times the degrees that a written unit stands for;
    `half_width_deg` half of the cell that the answer was rounded from; `felt` is False where the
    answer is a sector and would be the same without what bends the needle; `detail` the other point
    concerned. `rounding_var` (rows,) is the variance in square degrees of the rounding, or of a
    piece of a sector; `is_idle` (rows,) says that the dial's north is the magnetic one that is
    asked, so that no declination is wanted; `is_right` (rows,) that a target is the one asked for,
    which no mistake can have made of another; `task` (rows,) is an index into the answers,
    `cell_deg` (rows,) the cell of a plain answer, and `row_of` (readings,) the row of each reading.
    """

    row: Indices
    habit: Indices
    slip: Indices
    residual_deg: Floats
    sign: Indices
    share: Floats
    half_width_deg: Floats
    felt: Flags
    detail: np.ndarray
    task: Indices
    cell_deg: Floats
    rounding_var: Floats
    is_idle: Flags
    is_right: Flags
    row_of: Indices


@dataclass(frozen=True)
class _Row:
    """One different answer: the index of its task, whether the compass is set, the step to which
    its person reads, what was seen, and the bearing gone on with.
    """

    task: int
    is_set: bool
    step_deg: float
    seen: Hashable
    heard_deg: float | None


def gather(answers: Sequence[Answer], readings: Sequence[Reading]) -> Residuals:
    """The residuals of some readings, given the answers of their tasks. Raises KeyError for a task
    that has no answer.
    """
    rows, row_of = _different(answers, readings)
    own = [own_answer(answers[row.task], row.heard_deg) for row in rows]
    predictions, columns, cells = {}, [], []
    for index, (row, answer) in enumerate(zip(rows, own, strict=True)):
        way = row.task, row.is_set, row.heard_deg
        if way not in predictions:
            predictions[way] = _predicted(answer, Compass(declination_is_set=row.is_set))
        ways, cell_deg = _ways_to(answer, predictions[way], row.seen)
        columns.append((np.full(len(ways[0]), index), *ways))
        cells.append(cell_deg)
    joined = (
        [np.concatenate(column) for column in zip(*columns, strict=True)]
        if columns
        else [np.array([])] * len(WAY_COLUMNS)
    )
    return Residuals(
        **dict(zip(WAY_COLUMNS, joined, strict=True)),
        task=np.array([row.task for row in rows], int),
        cell_deg=np.array(cells, float),
        rounding_var=np.array([_rounding_var(answers[row.task], row.step_deg) for row in rows]),
        is_idle=np.array([_is_idle(answers[row.task], row.is_set) for row in rows], bool),
        is_right=np.array(
            [answer.form.is_right(answer, row.seen) for answer, row in zip(own, rows, strict=True)],
            bool,
        ),
        row_of=np.array(row_of, int),
    )


def _different(
    answers: Sequence[Answer], readings: Sequence[Reading]
) -> tuple[list[_Row], list[int]]:
    """The different answers in order of appearance, and the index of each reading's."""
    index_of = {answer.task: index for index, answer in enumerate(answers)}
    step_of = graduations(answers, readings)
    rows: dict[_Row, int] = {}
    row_of = []
    for reading in readings:
        row = _Row(
            index_of[reading.task],
            reading.instrument.declination_is_set,
            step_of[reading.person],
            reading.seen,
            reading.heard_deg,
        )
        row_of.append(rows.setdefault(row, len(rows)))
    return list(rows), row_of


def _is_idle(answer: Answer, is_set: bool) -> bool:
    """Whether the dial shows the magnetic bearing that is asked: no declination is wanted."""
    return reads_needle(answer) and answer.north == "magnetic" and not is_set


def _rounding_var(answer: Answer, step_deg: float) -> float:
    """Variance of a rectangular distribution, (2a)^2 / 12 (GUM 4.3.7): of the dial's step, or of a
    whole degree on paper, or of both a dial set to its step and a piece of a sector.
    """
    read_to_deg = step_deg if reads_needle(answer) else 1.0
    return read_to_deg**2 / 12.0 + Direction.of(answer).piece_deg ** 2 / 12.0


def graduations(answers: Sequence[Answer], readings: Sequence[Reading]) -> dict[str, float]:
    """The step in degrees to which each person reads, by person: the likeliest of what their
    numbers and their own word say.

    Only numbers that stand as they were on the dial tell: those asked in the dial's own north.
    """
    by_task = {answer.task: answer for answer in answers}
    shown: dict[str, list[float]] = {}
    stated: dict[str, Counter[float]] = {}
    for reading in readings:
        answer = by_task[reading.task]
        stated.setdefault(reading.person, Counter())[reading.instrument.graduation_deg] += 1
        dial_north = "true" if reading.instrument.declination_is_set else "magnetic"
        number = Direction.of(answer).dial_number(reading.seen)
        if number is not None and reads_needle(answer) and answer.north == dial_north:
            shown.setdefault(reading.person, []).append(number)
    return {
        person: _graduation(shown.get(person, ()), steps.most_common(1)[0][0])
        for person, steps in stated.items()
    }


def _graduation(numbers: Sequence[float], stated_deg: float) -> float:
    """The likeliest step of some numbers, where the person says another or the same."""
    if stated_deg > GRADUATIONS_DEG[-1]:
        return stated_deg  # read by touch

    def log_posterior(step_deg: float) -> float:
        fits = [
            step_deg * (1.0 - OFF_GRADUATION) * (number % step_deg == 0) + OFF_GRADUATION
            for number in numbers
        ]
        prior = AS_STATED if step_deg == stated_deg else (1.0 - AS_STATED) / 2.0
        return float(np.log(fits).sum() + np.log(prior))

    return max(GRADUATIONS_DEG, key=log_posterior)


@dataclass(frozen=True)
class _Ways:
    """The predictions of a task that are written in one way from one place, as arrays (ways,);
    `example` is one of them.
    """

    example: Prediction
    habit: Indices
    slip: Indices
    centre_deg: Floats
    sign: Indices
    share: Floats
    detail: np.ndarray


def _predicted(answer: Answer, compass: Compass) -> list[_Ways]:
    """The predictions of a task grouped by how they are written and where one stands."""
    groups: dict[tuple[str, str], list[Prediction]] = {}
    predictions = list(kind_of(answer.kind).predictions(answer, compass))
    hidden = _hidden(predictions)
    for prediction in predictions:
        if hidden & {prediction.habit, prediction.slip}:
            continue
        stand = prediction.detail if prediction.slip == "other_station" else ""
        groups.setdefault((prediction.writing, stand), []).append(prediction)
    return [
        _Ways(
            group[0],
            habit=np.array([INDEX[prediction.habit] for prediction in group]),
            slip=np.array([INDEX[prediction.slip] for prediction in group]),
            centre_deg=np.array([prediction.centre_deg for prediction in group]),
            sign=np.array([prediction.sign for prediction in group]),
            share=np.array([prediction.share for prediction in group]),
            detail=np.array([prediction.detail for prediction in group], dtype=object),
        )
        for group in groups.values()
    ]


def _hidden(predictions: Sequence[Prediction]) -> set[str]:
    """Habits that move the answer of this task by less than HIDES_DEG: they cannot be told from a
    sound reading here.
    """
    alone = {
        prediction.habit: prediction.centre_deg
        for prediction in predictions
        if prediction.slip == "ok"
    }
    return {
        code
        for code, centre_deg in alone.items()
        if code != "ok" and abs(difference(centre_deg, alone["ok"])) < HIDES_DEG
    }


def _wrapped(degrees: Floats) -> Floats:
    return np.remainder(degrees + 180.0, 360.0) - 180.0


def _ways_to(
    answer: Answer, groups: Sequence[_Ways], seen: Hashable
) -> tuple[tuple[np.ndarray, ...], float]:
    """The ways to one answer, as columns in the order of WAY_COLUMNS but for its row, and the cell
    of a plain reading of it in degrees.
    """
    form, columns, cells = Direction.of(answer), [], []
    for group in groups:
        for meant in form.meant(answer, seen, group.example):
            columns += _pieces(group, meant, form.pieces(meant.half_width_deg))
            cells.append((group.example.writing != "plain", meant.jacobian))
    _, cell_deg = min(cells)  # the plain way's cell, or that of mils where mils were stated
    return tuple(np.concatenate(column) for column in zip(*columns, strict=True)), cell_deg


def _pieces(group: _Ways, meant: Meant, pieces: int) -> list[tuple[np.ndarray, ...]]:
    """The ways of a group to a direction that may have been meant. A sector is cut into narrow
    pieces, each a way of its own: whatever bends the needle moves the answer out at its edge.
    """
    felt = np.abs(_wrapped(meant.direction_deg - group.centre_deg)) > meant.half_width_deg
    columns: list[tuple[np.ndarray, ...]] = []
    for piece in range(pieces):
        aside_deg = ((2 * piece + 1) / pieces - 1.0) * meant.half_width_deg
        columns.append(
            (
                group.habit,
                group.slip,
                _wrapped(meant.direction_deg + aside_deg - group.centre_deg),
                group.sign,
                group.share * meant.share * meant.jacobian / pieces,
                np.full(len(group.habit), meant.half_width_deg / pieces),
                felt | (meant.half_width_deg <= WHOLE_DEGREE / 2.0),
                group.detail,
            )
        )
    return columns

"""What each habit and slip says of each reading, as arrays: the part of the diagnosis that needs no
opinion.

Readings repeat (whole degrees, few tasks), so the rows are made once for each different task,
compass and answer, and readings point at them.
"""

from __future__ import annotations

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
from .priors import HABITS
from .written_numbers import graduations

CODES = causes.CODES
INDEX = {code: place for place, code in enumerate(CODES)}
HIDES_DEG = 1.0  # half of what a two-degree dial shows
WAY_COLUMNS = (
    "row",
    "habit",
    "slip",
    "residual_deg",
    "sign",
    "share",
    "felt",
    "detail",
    "number_deg",
)
WHOLE_DEGREE = 1.0
NOWHERE = -1


@dataclass(frozen=True)
class Sound:
    """Each different answer against what is read without a slip: (rows, habits) in the order of
    HABITS, but for `half_width_deg` (rows,).

    `acts_as` is the habit that is left of one at this task, an index into HABITS, since some do not
    act everywhere; the others are told for each of those: `residual_deg`, seen minus predicted,
    wrapped; `sign`, how it moves with the needle; `density`, by which a density per degree becomes
    the probability of the answer, 0 where it cannot come about so.
    """

    acts_as: Indices
    residual_deg: Floats
    sign: Indices
    density: Floats
    half_width_deg: Floats


@dataclass(frozen=True)
class Residuals:
    """The ways to every different answer. Arrays over ways, one entry each, ordered by row:

    `row` is the different answer it belongs to; `habit` and `slip` are indices into `CODES`;
    `residual_deg` is seen minus predicted, wrapped; `sign` how it moves with the needle; `share`
    the prior weight within habit and slip, times the degrees that a written unit stands for;
    `felt` is False where the answer is a sector and would be the same without what bends the
    needle; `detail` the other point concerned; `number_deg` the number that the writing began with;
    `stood_at` the station on which one stood instead, an index among those of the answers in order
    of appearance, else NOWHERE.

    `sound` says where each answer stands without a slip. `rounding_var` (rows,) is the variance in
    square degrees of the rounding, or of a piece of a sector; `is_right` (rows,) says that a
    target is the one asked for, which no mistake can have made of another; `task` (rows,) is an
    index into the answers, `cell_deg` (rows,) the cell of a plain answer, and `row_of` (readings,)
    the row of each reading.
    """

    row: Indices
    habit: Indices
    slip: Indices
    residual_deg: Floats
    sign: Indices
    share: Floats
    felt: Flags
    detail: np.ndarray
    number_deg: Floats
    stood_at: Indices
    sound: Sound
    task: Indices
    cell_deg: Floats
    rounding_var: Floats
    is_right: Flags
    row_of: Indices


Ways = tuple[tuple[np.ndarray, ...], float, tuple[np.ndarray | float, ...]]
MOST_REMEMBERED = 20_000  # a few hundred bytes each; a class writes a few hundred


@dataclass(frozen=True)
class _Row:
    """One different answer: the index of its task, the dial of its compass, the step to which its
    person reads, what was seen, and the bearing gone on with.
    """

    task: int
    dial: Compass
    step_deg: float
    seen: Hashable
    heard_deg: float | None


class Evidence:
    """What the answers of one key say of what may be seen, remembered from one look to the next: it
    is the same for everybody who writes the same.
    """

    def __init__(self) -> None:
        self._ways: dict[Hashable, Ways] = {}
        self._predicted: dict[Hashable, Predicted] = {}

    def ways_to(self, row: _Row, answer: Answer) -> Ways:
        """The ways to what a row saw, the cell of a plain reading of it in degrees, and what sound
        readings are off; `answer` is that of the row's own task.
        """
        asked = answer.task, row.dial, row.heard_deg
        same = *asked, row.seen  # whatever the step of the dial
        found = self._ways.get(same)
        if found is None:
            predicted = self._predicted.get(asked) or _predicted(answer, row.dial)
            groups, plain = self._predicted.setdefault(asked, predicted)
            found = *_ways_to(answer, groups, row.seen), plain.against(answer, row.seen)
            if len(self._ways) >= MOST_REMEMBERED:
                self._ways.clear()
            self._ways[same] = found
        return found


def gather(
    answers: Sequence[Answer], readings: Sequence[Reading], evidence: Evidence | None = None
) -> Residuals:
    """The residuals of some readings, given the answers of their tasks, and what is remembered of
    these answers. Raises KeyError for a task that has no answer.
    """
    rows, row_of = _different(answers, readings)
    own = [own_answer(answers[row.task], row.heard_deg) for row in rows]
    columns, cells, sound = [], [], []
    evidence = evidence or Evidence()
    for index, (row, answer) in enumerate(zip(rows, own, strict=True)):
        ways, cell_deg, against = evidence.ways_to(row, answer)
        columns.append((np.full(len(ways[0]), index), *ways))
        cells.append(cell_deg)
        sound.append(against)
    joined = (
        [np.concatenate(column) for column in zip(*columns, strict=True)]
        if columns
        else [np.array([])] * len(WAY_COLUMNS)
    )
    return Residuals(
        **dict(zip(WAY_COLUMNS, joined, strict=True)),
        stood_at=_stood_at(answers, joined),
        sound=Sound(*(np.array(column) for column in zip(*sound, strict=True))),
        task=np.array([row.task for row in rows], int),
        cell_deg=np.array(cells, float),
        rounding_var=np.array([_rounding_var(answers[row.task], row.step_deg) for row in rows]),
        is_right=np.array(
            [answer.form.is_right(answer, row.seen) for answer, row in zip(own, rows, strict=True)],
            bool,
        ),
        row_of=np.array(row_of, int),
    )


def _stood_at(answers: Sequence[Answer], columns: Sequence[np.ndarray]) -> Indices:
    """The index of the station on which one stood instead, of each way; NOWHERE of none."""
    by_name = dict(zip(WAY_COLUMNS, columns, strict=True))
    stations = dict.fromkeys(answer.station for answer in answers)
    index_of = {station: index for index, station in enumerate(stations)}
    found = np.full(len(by_name["slip"]), NOWHERE)
    elsewhere = np.flatnonzero(by_name["slip"] == INDEX["other_station"])
    found[elsewhere] = [index_of.get(code, NOWHERE) for code in by_name["detail"][elsewhere]]
    return found


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
            reading.instrument.dial,
            step_of[reading.person, reading.instrument.unit],
            reading.seen,
            reading.heard_deg,
        )
        row_of.append(rows.setdefault(row, len(rows)))
    return list(rows), row_of


def _is_idle(answer: Answer, dial: Compass) -> bool:
    """Whether the dial shows the magnetic bearing that is asked: no declination is wanted."""
    return reads_needle(answer) and answer.north == dial.dial_north == "magnetic"


def _rounding_var(answer: Answer, step_deg: float) -> float:
    """Variance of a rectangular distribution, (2a)^2 / 12 (GUM 4.3.7): of the dial's step, or of a
    whole degree on paper, or of both a dial set to its step and a piece of a sector.
    """
    read_to_deg = step_deg if reads_needle(answer) else 1.0
    return read_to_deg**2 / 12.0 + Direction.of(answer).piece_deg ** 2 / 12.0


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


Predicted = tuple["tuple[_Ways, ...]", "_Plain"]
# What was run once for an answer serves every reading of it, also of a later request.
_kept: dict[Hashable, Predicted] = {}
MOST_KEPT = 512


def _predicted(answer: Answer, dial: Compass) -> Predicted:
    """The predictions of a task grouped by how they are written and where one stands, and those
    without a slip.
    """
    made_of = (  # all that predictions follow from
        answer.kind,
        answer.station,
        answer.target,
        answer.north,
        answer.norths,
        tuple(answer.bearings_deg.items()),
        (answer.given_deg, answer.given_north),
        answer.others,
        answer.stations,
        dial,
    )
    found = _kept.get(made_of)
    if found is None:
        if len(_kept) >= MOST_KEPT:
            _kept.clear()
        found = _kept[made_of] = _run(answer, dial)
    return found


def _run(answer: Answer, dial: Compass) -> Predicted:
    groups: dict[tuple[str, str], list[Prediction]] = {}
    predictions = list(kind_of(answer.kind).predictions(answer, dial))
    hidden = _hidden(predictions)
    for prediction in predictions:
        if hidden & {prediction.habit, prediction.slip}:
            continue
        stand = prediction.detail if prediction.slip == "other_station" else ""
        groups.setdefault((prediction.writing, stand), []).append(prediction)
    plain = _Plain.of(groups["plain", ""], _is_idle(answer, dial))
    return tuple(_as_ways(group) for group in groups.values()), plain


def _as_ways(group: Sequence[Prediction]) -> _Ways:
    return _Ways(
        group[0],
        habit=np.array([INDEX[prediction.habit] for prediction in group]),
        slip=np.array([INDEX[prediction.slip] for prediction in group]),
        centre_deg=np.array([prediction.centre_deg for prediction in group]),
        sign=np.array([prediction.sign for prediction in group]),
        share=np.array([prediction.share for prediction in group]),
        detail=np.array([prediction.detail for prediction in group], dtype=object),
    )


@dataclass(frozen=True)
class _Plain:
    """What a task's readings are without a slip, by habit in the order of HABITS; `acts_as` as in
    `Sound`.
    """

    example: Prediction
    acts_as: Indices
    centre_deg: Floats
    sign: Indices
    share: Floats

    @staticmethod
    def of(predictions: Sequence[Prediction], is_idle: bool) -> _Plain:
        """Those of some predictions. `is_idle`: the dial's north is the magnetic one that is asked,
        so that no declination is wanted.
        """
        by_codes = {
            frozenset({prediction.habit, prediction.slip} - {"ok"}): prediction
            for prediction in predictions
            if prediction.slip == "ok" or prediction.slip in causes.PERSISTENT
        }
        if is_idle:
            by_codes = {codes: one for codes, one in by_codes.items() if codes <= {"reversed"}}
        index_of = {_codes(habit): index for index, habit in enumerate(HABITS)}
        left = [
            max((own for own in by_codes if own <= _codes(habit) and own in index_of), key=len)
            for habit in HABITS
        ]
        chosen = [by_codes[codes] for codes in left]
        return _Plain(
            by_codes[frozenset()],
            np.array([index_of[codes] for codes in left]),
            np.array([one.centre_deg for one in chosen]),
            np.array([one.sign for one in chosen]),
            np.array([one.share for one in chosen]),
        )

    def against(self, answer: Answer, seen: Hashable) -> tuple[np.ndarray | float, ...]:
        """One answer against them, in the order of `Sound`."""
        for meant in Direction.of(answer).meant(answer, seen, self.example):
            density = self.share * meant.share * meant.jacobian
            residual = _wrapped(meant.direction_deg - self.centre_deg)
            return self.acts_as, residual, self.sign, density, meant.half_width_deg
        nothing = np.zeros(len(HABITS))
        return self.acts_as, nothing, self.sign, nothing, 0.5


def _codes(habit: str) -> frozenset[str]:
    return frozenset(causes.parts(habit)) - {"ok"}


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
                felt | (meant.half_width_deg <= WHOLE_DEGREE / 2.0),
                group.detail,
                np.full(len(group.habit), meant.direction_deg),
            )
        )
    return columns

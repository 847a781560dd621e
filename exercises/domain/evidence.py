"""What each habit and slip says of each reading, as arrays: the part of the diagnosis that needs no opinion.

Readings repeat (whole degrees, few tasks), so the rows are made once for each different task, compass setting and answer, and
readings point at them.
"""
from dataclasses import dataclass

import numpy as np

from . import causes
from .angles import difference
from .kinds import kind_of
from .site import UNSET, Compass

CODES = causes.CODES
INDEX = {code: place for place, code in enumerate(CODES)}
HIDES_DEG = 1.0  # half of what a two-degree dial shows
FARTHEST_DEG = 60.0  # a way that puts the answer further off than this is no explanation of it


@dataclass(frozen=True)
class Reading:
    """One answer as given. `seen` is what the kind's `parse` returned; `compass` is the number in the class set, or empty."""

    person: str
    task: str
    seen: object
    compass: str = ""
    instrument: Compass = UNSET


@dataclass(frozen=True)
class Evidence:
    """The ways to every different answer. Arrays over ways, one entry each, ordered by row:

    `row` is the different answer it belongs to; `habit` and `slip` are indices into `CODES`; `residual_deg` is seen minus
    predicted, wrapped; `sign` how it moves with the needle; `share` the prior weight within habit and slip, times the
    degrees that a written unit stands for; `half_width_deg` half of the cell that the answer was rounded from; `detail` the
    other point concerned. `task` (rows,) is an index into the answers, `cell_deg` (rows,) the cell of a plain answer,
    and `row_of` (readings,) the row of each reading.
    """

    row: np.ndarray
    habit: np.ndarray
    slip: np.ndarray
    residual_deg: np.ndarray
    sign: np.ndarray
    share: np.ndarray
    half_width_deg: np.ndarray
    detail: np.ndarray
    task: np.ndarray
    cell_deg: np.ndarray
    row_of: np.ndarray


def gather(answers, readings):
    """The evidence of some readings, given the answers of their tasks. Raises KeyError for a task that has no answer."""
    place = {answer.task: index for index, answer in enumerate(answers)}
    rows, row_of = {}, []
    for reading in readings:
        different = (place[reading.task], reading.instrument.declination_is_set, reading.seen)
        row_of.append(rows.setdefault(different, len(rows)))
    predictions, columns, tasks, cells = {}, [], [], []
    for row, (task, is_set, seen) in enumerate(rows):
        if (task, is_set) not in predictions:
            predictions[task, is_set] = _as_arrays(answers[task], Compass(declination_is_set=is_set))
        ways, cell_deg = _ways(answers[task], predictions[task, is_set], seen)
        columns.append((np.full(len(ways[0]), row), *ways))
        tasks.append(task)
        cells.append(cell_deg)
    joined = [np.concatenate(column) for column in zip(*columns, strict=True)] if columns else [np.array([])] * 8
    return Evidence(*joined, np.array(tasks, int), np.array(cells, float), np.array(row_of, int))


def _as_arrays(answer, compass):
    """The predictions of a task grouped by how they are written and where one stands: [(one of them, arrays), ...]."""
    groups, predictions = {}, list(kind_of(answer.kind).predictions(answer, compass))
    hidden = _hidden(predictions)
    for prediction in predictions:
        if hidden & {prediction.habit, prediction.slip}:
            continue
        where = prediction.detail if prediction.slip == "other_station" else ""
        groups.setdefault((prediction.writing, where), []).append(prediction)
    return [(group[0], (
        np.array([INDEX[p.habit] for p in group]), np.array([INDEX[p.slip] for p in group]),
        np.array([p.centre_deg for p in group]), np.array([p.sign for p in group]),
        np.array([p.share for p in group]), np.array([p.detail for p in group], dtype=object),
    )) for group in groups.values()]


def _hidden(predictions):
    """Habits that move the answer of this task by less than HIDES_DEG: they cannot be told from a sound reading here."""
    alone = {prediction.habit: prediction.centre_deg for prediction in predictions if prediction.slip == "ok"}
    return {code for code, centre_deg in alone.items() if code != "ok" and abs(difference(centre_deg, alone["ok"])) < HIDES_DEG}


def _ways(answer, groups, seen):
    """The ways to one answer, as columns, and the cell of a plain reading of it in degrees."""
    kind, columns, cells = kind_of(answer.kind), [], []
    for example, (habit, slip, centre, sign, share, detail) in groups:
        for meant in kind.meant(answer, seen, example):
            residual = np.remainder(meant.direction_deg - centre + 180.0, 360.0) - 180.0
            near = np.abs(residual) <= FARTHEST_DEG
            columns.append((habit[near], slip[near], residual[near], sign[near], share[near] * meant.share * meant.jacobian,
                            np.full(near.sum(), meant.half_width_deg), detail[near]))
            cells.append((example.writing != "plain", meant.jacobian))
    _, cell_deg = min(cells)  # the plain way's cell, or that of mils where mils were stated
    return tuple(np.concatenate(column) for column in zip(*columns, strict=True)), cell_deg

"""People drawn by chance, and what their readings of some tasks say of one of them: the small
simulation behind `power.py`. Degrees, clockwise positive.

A reading is off by what its person's habit makes of it, by their own offset, by scatter and by what
the answer itself is unsure of; some are slips. What is drawn and what is believed of it are one
model, that of the diagnosis with the rates of `priors.STATED`, less what a class must learn.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..diagnosis import priors, scatter
from ..diagnosis.arrays import Floats, Indices, Singles
from ..diagnosis.people import LARGE, LEAST_READINGS, UNSHOWN, large_density
from ..earth.angles import difference
from ..earth.uncertainty import combine, rounding
from ..mistakes.causes import PERSISTENT
from ..tasks.answer import Answer
from ..tasks.forms.direction import Direction
from ..tasks.kinds import reads_needle
from .visibility import acting, single

# The median person's scatter, and the spread of its logarithm between people: that of real surveys,
# as in `priors.LOG_SPREAD`; the median is common practice, no source.
SCATTER_DEG = 2.3
# Slips, of readings: what a habit does, done once (`priors.ONCE`), and the rest, anywhere on the
# circle. Together a tenth: common practice, no source.
ONCE = tuple(priors.ONCE[habit] for habit in PERSISTENT)
ELSEWHERE = 0.10 - sum(ONCE)
GRADUATION_DEG = 2.0  # of the usual dial
HIDES_DEG = 1.0  # a habit that moves an answer by less cannot be told there: `residuals.HIDES_DEG`
SECTOR_STEP_DEG = 2.0  # to which the edges of a target's sector are found
WHOLE_DEGREES = tuple(np.arange(-180.5, 180.0).tolist())
SCATTERS_DEG = (1.2, 2.1, 3.6)  # among which a person's is judged
# Offsets among which a person's own is judged: fine where most are, coarse where few are.
OFFSETS_DEG = np.concatenate(
    [np.arange(-61.5, -12.0, 1.5), np.arange(-12.0, 12.1, 0.75), np.arange(13.5, 62.0, 1.5)]
)
SOUND = -1  # no slip
FINE = 4  # places a degree in which the sum of a scatter is tabulated


@dataclass(frozen=True)
class Effect:
    """What can be seen at one task.

    `sign` says how an answer moves when the needle reads one degree more, 0 where none is read;
    `shifts_deg`, in the order of PERSISTENT, by how much each habit moves it, 0 where that cannot
    be told. `edges_deg` part the answers that can be given, off the right one, ascending and once
    round the circle. `spread_deg` is how unsure the answer and the dial are, one sigma, and
    `survey_deg` the line's survey alone.
    """

    station: str
    sign: int
    shifts_deg: tuple[float, ...]
    edges_deg: tuple[float, ...]
    spread_deg: float
    survey_deg: float

    @property
    def acts(self) -> tuple[bool, ...]:
        """Which habits can be told here, in the order of PERSISTENT."""
        return tuple(shift_deg != 0.0 for shift_deg in self.shifts_deg)

    def blurred(self, by_deg: float) -> Effect:
        """The same where more is unsure; rounded, so that like tasks are one (`by_effect`)."""
        spread_deg = combine((self.spread_deg, self.survey_deg, by_deg))
        return Effect(
            "", self.sign, self.shifts_deg, self.edges_deg, round(4.0 * spread_deg) / 4.0, 0.0
        )


def effect(answer: Answer) -> Effect:
    """What can be seen at the task of an answer on the circle, with a compass that is not set."""
    sound = next(iter(single(answer)))
    has_needle = reads_needle(answer)
    shifts = dict.fromkeys(PERSISTENT, 0.0)
    for prediction in acting(answer):
        off_deg = difference(prediction.centre_deg, sound.centre_deg)
        if abs(off_deg) >= HIDES_DEG:
            shifts[prediction.habit] = round(2.0 * off_deg) / 2.0
    return Effect(
        station=answer.station,
        sign=sound.sign if has_needle else 0,
        shifts_deg=tuple(shifts.values()),
        edges_deg=_edges(answer),
        spread_deg=combine(
            (
                answer.budget.degrees("standing", "declination"),
                rounding(GRADUATION_DEG if has_needle else 1.0),
            )
        ),
        survey_deg=answer.budget.degrees("survey"),
    )


def _edges(answer: Answer) -> tuple[float, ...]:
    """Where one answer ends and the next begins: whole degrees, or the sectors of targets."""
    form = Direction.of(answer)
    if not form.piece_deg:
        return WHOLE_DEGREES
    sound = next(iter(single(answer)))
    off_deg = np.arange(-180.0, 180.0, SECTOR_STEP_DEG)
    named = [
        form.outcomes(answer, replace(sound, centre_deg=(sound.centre_deg + off) % 360.0))
        for off in off_deg.tolist()
    ]
    begins = [
        float(off) - SECTOR_STEP_DEG / 2.0
        for off, before, here in zip(off_deg, [named[-1], *named], named, strict=False)
        if here != before
    ] or [-180.0]
    return (*begins, begins[0] + 360.0)


@dataclass(frozen=True)
class People:
    """Drawn people, each with one reading of every task: `scatter_deg` and `offset_deg` (people,),
    `stray` (people, tasks) in units of a person's scatter, `unsure` in those of the answer's own;
    `follows` whether a habit was followed; `once` the place in PERSISTENT of what was done once, or
    SOUND; `slip_deg` where another slip led, nan without.
    """

    scatter_deg: Floats
    offset_deg: Floats
    stray: Floats
    unsure: Floats
    follows: np.ndarray
    once: Indices
    slip_deg: Floats

    def cells(self, task: int, effect: Effect, shift_deg: float) -> Indices:
        """Which answer each gives at a task: (people,), places between `edges_deg`. A habit moves
        it by `shift_deg`.
        """
        own_deg = self.scatter_deg if effect.sign else scatter.RECKONED_SIGMA_DEG
        once = self.once[:, task]
        off_deg = (
            effect.sign * self.offset_deg
            + own_deg * self.stray[:, task]
            + effect.spread_deg * self.unsure[:, task]
            + np.where(
                once == SOUND, shift_deg * self.follows[:, task], np.array(effect.shifts_deg)[once]
            )
        )
        slip_deg = self.slip_deg[:, task]
        off_deg = np.where(np.isnan(slip_deg), off_deg, slip_deg)
        edges_deg = np.array(effect.edges_deg)
        within = (off_deg - edges_deg[0]) % 360.0 + edges_deg[0]
        return np.searchsorted(edges_deg[1:-1], within, side="right")


def draw(people: int, tasks: int, rng: np.random.Generator) -> People:
    """Some people before some tasks, as `priors.STATED` has them."""
    stated, shape = priors.STATED, (people, tasks)
    large = rng.choice(
        [spread_deg for _, spread_deg in LARGE], people, p=[share for share, _ in LARGE]
    )
    is_large = rng.random(people) < stated.own_large
    spread_deg = np.where(is_large, large, stated.own_deg)
    wider = np.where(rng.random(shape) < stated.tail, scatter.TAIL_WIDER, 1.0)
    slip_deg = rng.uniform(-180.0, 180.0, shape)
    return People(
        scatter_deg=rng.lognormal(np.log(SCATTER_DEG), priors.LOG_SPREAD, people),
        offset_deg=spread_deg * rng.standard_normal(people),
        stray=wider * rng.standard_normal(shape),
        unsure=rng.standard_normal(shape),
        follows=rng.random(shape) < stated.followed,
        once=rng.choice([SOUND, *range(len(ONCE))], shape, p=[1.0 - sum(ONCE), *ONCE]),
        slip_deg=np.where(rng.random(shape) < ELSEWHERE, slip_deg, np.nan),
    )


def log_prior(needles: int) -> Singles:
    """The log prior of a person's offset and scatter: (offsets, scatters). Fewer readings of a
    needle than LEAST_READINGS show no fault of a compass.
    """
    stated = priors.STATED
    large = stated.own_large * (1.0 if needles >= LEAST_READINGS else UNSHOWN)
    small = np.exp(-0.5 * (OFFSETS_DEG / stated.own_deg) ** 2) / (
        np.sqrt(2.0 * np.pi) * stated.own_deg
    )
    density = (1.0 - large) * small + large * large_density(OFFSETS_DEG)
    of_offset = np.log(density * np.gradient(OFFSETS_DEG))
    off = (np.log(SCATTERS_DEG) - np.log(SCATTER_DEG)) / priors.LOG_SPREAD
    of_scatter = -0.5 * off**2
    of_scatter -= np.log(np.exp(of_scatter).sum())
    return (of_offset[:, None] + of_scatter).astype(np.float32)


@functools.lru_cache(maxsize=64)
def _summed_scatter(scatter_deg: float, spread_deg: float) -> Floats:
    """The integral of scatter from 180 degrees below, in steps of 1/FINE degree: (360 FINE + 1,).
    The answer's own spread is not the person's, and is not wider in the tail.
    """
    off_deg = np.arange(-180.0 + 0.5 / FINE, 180.0, 1.0 / FINE)
    tail = priors.STATED.tail
    total = np.zeros_like(off_deg)
    for share, by in ((1.0 - tail, 1.0), (tail, scatter.TAIL_WIDER)):
        sigma_deg = np.hypot(by * scatter_deg, spread_deg)
        density = np.exp(-0.5 * (off_deg / sigma_deg) ** 2)
        total += share * density / density.sum()
    return np.concatenate([[0.0], np.cumsum(total)])


def chances(effect: Effect, middles_deg: Floats) -> Floats:
    """The chance of each answer where readings scatter round some middles: (answers, middles,
    scatters). A middle is off the right answer.
    """
    places = np.rint((np.array(effect.edges_deg)[:, None] - middles_deg + 180.0) * FINE).astype(int)
    turns, places = np.divmod(places, 360 * FINE)
    found = [
        np.diff(turns + _summed_scatter(own_deg, effect.spread_deg)[places], axis=0)
        for own_deg in (
            SCATTERS_DEG if effect.sign else [scatter.RECKONED_SIGMA_DEG] * len(SCATTERS_DEG)
        )
    ]
    return np.stack(found, axis=2)


def by_effect(effects: Sequence[Effect]) -> dict[Effect, list[int]]:
    """Tasks at which the same can be seen, by their places."""
    groups: dict[Effect, list[int]] = {}
    for task, each in enumerate(effects):
        groups.setdefault(each, []).append(task)
    return groups


def log_table(effect: Effect, habits: Sequence[int], bias_deg: float = 0.0) -> Singles:
    """The log likelihood of each answer, by what a person may be: (answers, 1 + habits, offsets,
    scatters), no habit first. `habits` are places in PERSISTENT; `bias_deg` bends the needle.
    """
    middles_deg = effect.sign * (OFFSETS_DEG + bias_deg)
    plain = chances(effect, middles_deg)
    moved = [
        chances(effect, middles_deg + shift_deg) if shift_deg else plain
        for shift_deg in effect.shifts_deg
    ]
    slips = ELSEWHERE * np.diff(effect.edges_deg)[:, None, None] / 360.0
    for once, each in zip(ONCE, moved, strict=True):
        slips = slips + once * each
    followed = priors.STATED.followed
    kept = [followed * moved[habit] + (1.0 - followed) * plain for habit in habits]
    sound = 1.0 - ELSEWHERE - sum(ONCE)
    probability = sound * np.stack([plain, *kept], axis=1) + slips[:, None]
    return np.log(probability).astype(np.float32)

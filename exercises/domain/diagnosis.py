"""How probable each cause is for each reading, each habit for each person, and a fault for each station: over a whole class.

The model and how it is fitted stand in class_model.py; here its fit becomes verdicts.
"""
import functools
from dataclasses import dataclass, replace

import numpy as np

from . import causes, class_model
from .class_model import HABITS, RECKONED_SIGMA_DEG, SIGMAS_DEG, Bias
from .evidence import CODES, INDEX, gather

SLIP_SAMPLE = 2000  # readings from which the rates of slips are learnt; more add nothing but time
LEAST_ALTERNATIVE = 0.02  # probability from which an alternative is worth saying


@dataclass(frozen=True)
class Verdict:
    """The most probable cause of a reading with its probability, and the alternatives as (cause, probability), likelier first.

    `detail` is the code of the other point concerned, for another target or another station; else empty.
    """

    cause: str
    probability: float
    alternatives: tuple = ()
    detail: str = ""

    @property
    def is_sure(self):
        """Whether the cause may be said as one sentence."""
        return self.probability >= causes.SURE


@dataclass(frozen=True)
class Person:
    """A person's offset (their own and their compass's) in degrees, and their most probable habit, or none, with its probability."""

    offset_deg: float
    habit: str
    habit_probability: float
    scatter_deg: float


@dataclass(frozen=True)
class Diagnosis:
    """`verdicts` in the order of the readings; `people` by name; `stations` by code, as `Bias`."""

    verdicts: tuple[Verdict, ...]
    people: dict[str, Person]
    stations: dict[str, Bias]


def diagnose(answers, readings):
    """The diagnosis of a class.

    `answers` are those of the key, `readings` those of `evidence.Reading`, of any number of people, tasks and attempts.
    Raises KeyError for a reading of a task that has no answer.
    """
    if not readings:
        return Diagnosis((), {}, {})
    evidence = gather(answers, readings)
    layout, fit = class_model.fit(answers, readings, evidence)
    sample = range(0, len(readings), 1 + len(readings) // SLIP_SAMPLE)
    fit = replace(fit, slip=class_model.learnt_slips(_slips(evidence, _shares(layout, evidence, fit, sample)), len(sample)))
    verdicts = tuple(_ranked(evidence, *share) for share in _shares(layout, evidence, fit, range(len(readings))))
    return Diagnosis(verdicts, _people(layout, fit), {
        station: bias for station, bias in fit.stations.items() if layout.people_at[station]})


def _people(layout, fit):
    """What is said of each person. The offset is theirs, plus that of a shared compass if they read with one."""
    with_compass = np.zeros(len(layout.people))
    for place, number in enumerate(layout.compasses):
        np.put(with_compass, layout.person[layout.compass == place], fit.compasses[number].degrees)
    found = {}
    for place, name in enumerate(layout.people):
        best = int(fit.habit[place].argmax())
        found[str(name)] = Person(
            float(fit.habit[place] @ fit.offset[place] + with_compass[place]), "none" if HABITS[best] == "ok" else HABITS[best],
            float(fit.habit[place, best]), float(fit.sigma[place] @ SIGMAS_DEG))
    return found


def _slips(evidence, shares):
    """How many readings each slip is expected in, (codes,)."""
    counts = np.zeros(len(CODES))
    for ways, mixed, unexplained, _, _ in shares:
        counts += np.bincount(evidence.slip[ways], mixed.sum(axis=0), len(CODES))
        counts[INDEX["unexplained"]] += unexplained
    return counts


def _shares(layout, evidence, fit, chosen):
    """For each of the chosen readings, by index, its ways, each with its probability under each habit that the person may have; sigma and offset integrated."""
    weights = class_model.way_weights(layout, evidence, fit.slip)
    bounds = np.searchsorted(evidence.row, np.arange(len(evidence.task) + 1))
    unexplained = fit.slip[INDEX["unexplained"]] * evidence.cell_deg / 360.0
    shift = np.array([bias.degrees for bias in (fit.stations[s] for s in layout.stations)]) + np.array([line.degrees for line in fit.lines])
    spread_of_ground = np.array([fit.stations[s].error_deg for s in layout.stations])
    for reading in chosen:
        row, task, person, compass = layout.row[reading], layout.task[reading], layout.person[reading], layout.compass[reading]
        moved = shift[task] + (fit.compasses[layout.compasses[compass]].degrees if compass >= 0 else 0.0)
        yield _share(evidence, fit, slice(bounds[row], bounds[row + 1]), weights, unexplained[row], person, layout.known[task],
                     layout.needle[task], moved, spread_of_ground[task], _faults(layout, fit, task, compass))


def _faults(layout, fit, task, compass):
    """Probability that the ground is at fault here, and that the shared compass is."""
    if not layout.needle[task]:
        return 0.0, 0.0
    ground = 1.0 - (1.0 - fit.stations[layout.stations[task]].fault_probability) * (1.0 - fit.lines[task].fault_probability)
    return ground, fit.compasses[layout.compasses[compass]].fault_probability if compass >= 0 else 0.0


def _share(evidence, fit, ways, weights, unexplained, person, known, bent, shift, ground_spread, faults):
    """The ways of one reading with their probabilities (habits, ways), that of none of them, and the probable faults about it."""
    sign, half = evidence.sign[ways], evidence.half_width_deg[ways]
    turned = sign != 0
    position = np.where(turned, sign * evidence.residual_deg[ways] - shift, evidence.residual_deg[ways])
    offset = np.where(turned[None, :], fit.offset[person][:, None], 0.0)
    sigma2 = SIGMAS_DEG ** 2 if bent else np.full(len(SIGMAS_DEG), RECKONED_SIGMA_DEG ** 2)
    variance = (sigma2[:, None, None] + known ** 2 + half ** 2 / 3.0 + np.where(turned, fit.offset_var[person][:, None] + ground_spread ** 2, 0.0)[None])
    density = np.exp(-0.5 * (position - offset) ** 2 / variance) / np.sqrt(2.0 * np.pi * variance)
    each = density * weights[ways].T
    mass = each.sum(axis=2) + unexplained
    # The posteriors of habit and sigma have heard this reading already: within each of them the ways share its probability.
    held = fit.habit[person][None, :] * fit.sigma[person][:, None] / mass
    mixed = np.einsum("sh,shw->hw", held, each)
    return ways, mixed, float(held.sum() * unexplained), fit.wide[person] if bent else np.zeros(len(HABITS)), faults


@functools.cache
def _code(codes):
    return causes.combined(codes)


def _ranked(evidence, ways, mixed, unexplained, wide, faults):
    """Ways, each with its probability, added up by cause. The ground's, the compass's and the offset's faults go with every way that has a needle in it."""
    ground, compass = faults
    off = 1.0 - (1.0 - wide) * (1.0 - compass)  # by habit
    by_cause, details = {"unexplained": unexplained}, {}
    total = mixed.sum(axis=0)
    heavy = np.flatnonzero(total > 1e-4)
    for way in heavy:
        habit, slip, detail = evidence.habit[ways][way], evidence.slip[ways][way], evidence.detail[ways][way]
        codes = {CODES[habit], CODES[slip]} - {"ok"}
        own_off = float(mixed[:, way] @ off) / total[way]
        for extra, share in (((), (1 - ground) * (1 - own_off)), (("station_fault",), ground * (1 - own_off)),
                             (("compass_offset",), (1 - ground) * own_off), (("compass_offset", "station_fault"), ground * own_off)):
            if share > 1e-4:
                code = _code(frozenset(codes | set(extra)))
                by_cause[code] = by_cause.get(code, 0.0) + float(total[way]) * share
                details.setdefault(code, {})
                details[code][detail] = details[code].get(detail, 0.0) + float(total[way]) * share
    mass = sum(by_cause.values())
    ranked = sorted(((code, one / mass) for code, one in by_cause.items()), key=lambda pair: (-pair[1], pair[0]))
    cause, probability = ranked[0]
    detail = max(details[cause], key=details[cause].get) if cause in details else ""
    return Verdict(cause, probability, tuple(pair for pair in ranked[1:5] if pair[1] >= LEAST_ALTERNATIVE), detail)

"""How probable each cause is for each reading, each habit for each person, and a fault for each
station: over a whole class.

The model and how it is fitted stand in class_model.py; here its fit becomes verdicts.
"""

import functools
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, replace

import numpy as np

from ..mistakes import causes
from ..tasks.forms.base import PLANE
from . import biases, class_model, places, priors
from .biases import Bias
from .class_arrays import shift as layout_shift
from .class_model import LEAST_HABIT, OFFSETS_DEG, Known
from .likelihood_table import RECKONED_SIGMA_DEG, TAIL_SHARE, TAIL_WIDER
from .priors import HABITS, SIGMAS_DEG
from .residuals import CODES, INDEX, gather
from .verdicts import Person, Verdict, likeliest

MODEL_VERSION = "3"  # stored with results; raise it with every change that moves a number
SLIP_SAMPLE = 2000  # readings from which the rates of slips are learnt; more add nothing but time
LEAST_WAY = 1e-4  # probability below which a way is not worth naming
AT_ONCE = 500  # readings at a time, to bound memory


@dataclass(frozen=True)
class Compass:
    """A numbered compass that two or more people read: its offset, and the probability that its
    needle is reversed.
    """

    offset: Bias
    reversed_probability: float


@dataclass(frozen=True)
class Diagnosis:
    """`verdicts` in the order of the readings; `people` by name; `stations` by code and `lines` by
    task, as `Bias`; `compasses` by number; `counts`, what the class adds to the priors; `known`, by
    which later readings are judged at once."""

    verdicts: tuple[Verdict, ...]
    people: dict[str, Person]
    stations: dict[str, Bias]
    lines: dict[str, Bias]
    compasses: dict[str, Compass]
    counts: priors.Counts | None = None
    known: Known | None = None


NOTHING = Diagnosis((), {}, {}, {}, {})
UNREAD = Person(
    0.0,
    class_model.OFFSET_NARROW_DEG,
    0.0,
    "none",
    priors.STATED.habits[0],
    float(np.dot(priors.STATED.sigmas, SIGMAS_DEG)),
    float(
        np.sqrt(
            np.dot(priors.STATED.sigmas, np.square(SIGMAS_DEG))
            - np.dot(priors.STATED.sigmas, SIGMAS_DEG) ** 2
        )
    ),
)  # one whose needle nobody has heard of


def to_plain(found):
    """A diagnosis as dicts and lists that JSON can hold."""
    return asdict(found)


def from_plain(row):
    """The diagnosis that `to_plain` was given."""
    counts = row["counts"]
    return Diagnosis(
        tuple(
            Verdict(**{**one, "alternatives": tuple(map(tuple, one["alternatives"]))})
            for one in row["verdicts"]
        ),
        _each(Person, row["people"]),
        _each(Bias, row["stations"]),
        _each(Bias, row["lines"]),
        {
            number: Compass(Bias(**one["offset"]), one["reversed_probability"])
            for number, one in row["compasses"].items()
        },
        counts and priors.Counts(**{name: tuple(values) for name, values in counts.items()}),
        known_from_plain(row["known"]),
    )


def known_from_plain(row):
    """What a class knew, from its plain form; None of None."""
    return row and Known(
        **{
            name: tuple(value)
            if isinstance(value, list)
            else _each(Bias, value)
            if name != "turned"
            else value
            for name, value in row.items()
        }
    )


def _each(cls, rows):
    return {code: cls(**one) for code, one in rows.items()}


def diagnose(answers, readings, stated=priors.STATED):
    """The diagnosis of a class.

    `answers` are those of the key, `readings` those of `evidence.Reading` in the order of time, of
    any number of people, tasks and attempts; `stated` what is believed before. Raises KeyError for
    a reading of a task that has no answer.
    """
    return _with_places(
        answers, readings, stated.slips, lambda *bearings: _diagnosed(*bearings, stated)
    )


def _diagnosed(answers, readings, stated):
    evidence = gather(answers, readings)
    layout, fit = class_model.fit(answers, readings, evidence, stated)
    sample = np.arange(0, len(readings), 1 + len(readings) // SLIP_SAMPLE)
    counts = np.zeros(len(CODES))
    for part in explain(layout, evidence, fit, sample):
        counts += part.slips
    fit = replace(fit, slips=priors.mixed(stated.slips, stated.readings, counts))
    return _told(answers, layout, evidence, fit, counts * len(readings) / len(sample))


def nothing_known(stated=priors.STATED):
    """What is known of a class before its first reading."""
    return Known({}, {}, {}, {}, stated.slips, stated.habits, stated.sigmas)


def diagnose_people(answers, readings, known):
    """The diagnosis of some people's readings by what their class knew before, without fitting the
    class again.
    """

    def diagnosed(answers, readings):
        evidence = gather(answers, readings)
        layout, fit = class_model.fit_people(answers, readings, evidence, known)
        return replace(
            _told(answers, layout, evidence, fit, np.zeros(len(CODES))), counts=None, known=known
        )

    return _with_places(answers, readings, known.slips, diagnosed)


def _with_places(answers, readings, slips, diagnosed):
    """The diagnosis of the readings that are bearings or targets, by `diagnosed(answers,
    readings)`, then of those that are places, by what it says of their people.
    """
    place_of = {answer.task: answer for answer in answers if answer.form.space == PLANE}
    own = [index for index, reading in enumerate(readings) if reading.task not in place_of]
    found = (
        diagnosed(
            tuple(answer for answer in answers if answer.task not in place_of),
            [readings[index] for index in own],
        )
        if own
        else NOTHING
    )
    if len(own) == len(readings):
        return found
    verdicts, judge = (
        dict(zip(own, found.verdicts, strict=True)),
        places.Judge(place_of, found.known.slips if found.known else slips),
    )
    for index, reading in enumerate(readings):
        if reading.task in place_of:
            verdicts[index] = judge.verdict(reading, found.people.get(reading.person))
    return replace(
        found,
        verdicts=tuple(verdicts[index] for index in range(len(readings))),
        people={**{reading.person: UNREAD for reading in readings}, **found.people},
        stations={code: _among(bias, own) for code, bias in found.stations.items()},
        lines={task: _among(bias, own) for task, bias in found.lines.items()},
    )


def _among(bias, own):
    """A bias whose beginning or end is counted among all readings and not among some of them."""
    return replace(
        bias,
        since=None if bias.since is None else own[bias.since],
        until=None if bias.until is None else own[bias.until],
    )


def _told(answers, layout, evidence, fit, slips):
    verdicts = []
    for part in explain(layout, evidence, fit, np.arange(len(layout.row))):
        verdicts += ranked(evidence, part)
    stations = _worst(
        (
            place.station,
            replace(_with_only_line(layout, fit, index), since=place.since, until=place.until),
        )
        for index, place in enumerate(layout.places)
        if _is_read(layout, place.station)
    )
    lines = _worst(
        (answers[line.task].task, replace(bias, since=line.since, until=line.until))
        for line, bias in zip(layout.lines, fit.lines, strict=True)
        if layout.needle[line.task]
    )
    compasses = {
        number: Compass(bias, float(turned))
        for number, bias, turned in zip(layout.compasses, fit.compasses, fit.turned, strict=True)
    }
    counts = priors.Counts(
        tuple(fit.habit.sum(axis=0).tolist()),
        tuple(fit.joint.sum(axis=(0, 1)).tolist()),
        tuple(slips.tolist()),
    )
    latest = {
        place.station: bias
        for place, bias in zip(layout.places, fit.places, strict=True)
        if place.until is None
    }
    known = Known(
        latest,
        {
            answers[line.task].task: bias
            for line, bias in zip(layout.lines, fit.lines, strict=True)
            if line.until is None
        },
        {number: compass.offset for number, compass in compasses.items()},
        {number: compass.reversed_probability for number, compass in compasses.items()},
        tuple(fit.slips.tolist()),
        tuple(fit.habits.tolist()),
        tuple(fit.sigmas.tolist()),
    )
    return Diagnosis(
        tuple(verdicts), _people(layout, fit), stations, lines, compasses, counts, known
    )


def _with_only_line(layout, fit, place):
    """A place's bias; where one line alone was read there, the two cannot be told apart, and it is
    both together.
    """
    lines = [
        bias
        for line, bias in zip(layout.lines, fit.lines, strict=True)
        if line.place == place and layout.needle[line.task]
    ]
    bias = fit.places[place]
    if len(lines) != 1:
        return bias
    return replace(
        bias,
        degrees=bias.degrees + lines[0].degrees,
        error_deg=lines[0].error_deg,
        fault_probability=1.0 - (1.0 - bias.fault_probability) * (1.0 - lines[0].fault_probability),
    )


def _is_read(layout, station):
    """Whether anybody read a needle there."""
    stood = {layout.places[place].station for place in set(layout.place[layout.bent].tolist())}
    return station in stood


def _worst(found):
    """Of a station or line that changed, the part that is likelier at fault."""
    worst = {}
    for code, bias in found:
        if code not in worst or bias.fault_probability > worst[code].fault_probability:
            worst[code] = bias
    return worst


def _people(layout, fit):
    """What is said of each person. The offset is theirs, plus that of a shared compass if they read
    with one; the habit is not theirs where the compass's own needle is reversed."""
    last_compass = np.full(len(layout.people), -1)
    last_compass[layout.person[layout.bent]] = layout.compass[layout.bent]
    habit, sigma = fit.habit, fit.joint.sum(axis=1)
    scatter = sigma @ np.array(SIGMAS_DEG)
    scatter_error = np.sqrt(np.maximum(sigma @ np.array(SIGMAS_DEG) ** 2 - scatter**2, 0.0))
    found = {}
    for place, name in enumerate(layout.people):
        compass = fit.compasses[last_compass[place]] if last_compass[place] >= 0 else biases.NO_BIAS
        weight = habit[place] @ fit.offset[place]
        mean = float(weight @ OFFSETS_DEG)
        error = float(
            np.sqrt(weight @ (OFFSETS_DEG - mean) ** 2 + 1.0 / 12.0 + compass.error_deg**2)
        )
        best = int(habit[place].argmax())
        found[str(name)] = Person(
            mean + compass.degrees,
            error,
            float(weight @ biases.beyond(biases.FAULT_DEG, OFFSETS_DEG + compass.degrees)),
            "none" if HABITS[best] == "ok" else HABITS[best],
            float(habit[place, best]),
            float(scatter[place]),
            float(scatter_error[place]),
        )
    return found


@dataclass(frozen=True)
class Explained:
    """Some readings with the ways to them. `readings` (n,) indices; `of` (m,) the place among them
    of each likely way; `way` (m,) its index; `probability` (m,) and `off` (m,), how much of it
    comes with a compass that is off; `unexplained`, `ground` and `turned` (n,): probabilities of
    none of the ways, of a fault of the ground, and of a reversed needle of the compass; `felt` (m,)
    is 0 where the answer, a target, would be the same without what bends the needle, else 1;
    `slips` (codes,) how often each slip is expected."""

    readings: np.ndarray
    of: np.ndarray
    way: np.ndarray
    probability: np.ndarray
    off: np.ndarray
    felt: np.ndarray
    unexplained: np.ndarray
    ground: np.ndarray
    turned: np.ndarray
    slips: np.ndarray


def explain(layout, evidence, fit, chosen, around=None):
    """The chosen readings, by index, in parts of `Explained`; habit, sigma and offset are
    integrated. `around` is by `surroundings` unless somebody knows better."""
    weights = class_model.way_weights(evidence, fit.slips)
    background = class_model.background(evidence, fit.slips)
    bounds = np.searchsorted(evidence.row, np.arange(len(evidence.task) + 1))
    around = around or surroundings(layout, fit)
    with ThreadPoolExecutor(2) as pool:
        yield from pool.map(
            lambda begin: _explained(
                layout,
                evidence,
                fit,
                chosen[begin : begin + AT_ONCE],
                weights,
                background,
                bounds,
                around,
            ),
            range(0, len(chosen), AT_ONCE),
        )


def surroundings(layout, fit):
    """What is round each reading: (shift, its variance, ground's fault, compass's offset, compass's
    reversal), each (readings,).
    """
    place, lines = layout.place, [fit.lines[index] for index in range(len(layout.lines))]
    error = np.array([fit.places[line.place].error_deg for line in layout.lines])[layout.line]
    fault = np.array(
        [
            1.0 - (1.0 - fit.places[line.place].fault_probability) * (1.0 - bias.fault_probability)
            for line, bias in zip(layout.lines, lines, strict=True)
        ]
    )[layout.line]
    offset = np.array([bias.degrees for bias in fit.compasses] + [0.0])[layout.compass]
    turned = np.array([*fit.turned, 0.0])[layout.compass]
    return (
        layout_shift(layout, fit.places, fit.lines, fit.compasses, fit.turned),
        error**2 * (place >= 0),
        fault * layout.bent,
        offset,
        turned * layout.bent,
    )


def _explained(layout, evidence, fit, chosen, weights, background, bounds, around):
    shift, shift_var, fault, compass_offset, turned = (values[chosen] for values in around)
    person, row, task = layout.person[chosen], layout.row[chosen], layout.task[chosen]
    bent, count = layout.needle[task], bounds[row + 1] - bounds[row]
    habit_of = fit.habit
    which, habit = np.nonzero(
        habit_of[person] > LEAST_HABIT
    )  # pairs of a reading and a habit that its person may have
    who, ways = person[which], count[which]
    pair = np.repeat(np.arange(len(which)), ways)
    starts = np.r_[0, np.cumsum(ways)[:-1]]
    way = bounds[row[which]][pair] + np.arange(len(pair)) - starts[pair]
    mean = fit.offset @ OFFSETS_DEG
    var = fit.offset @ OFFSETS_DEG**2 - mean**2
    sign = evidence.sign[way]
    is_turned = sign != 0
    position = np.where(
        is_turned,
        sign * evidence.residual_deg[way]
        - (shift[which] + np.where(bent[which], mean[who, habit], 0.0))[pair],
        evidence.residual_deg[way],
    )
    squared = (np.remainder(position + 180.0, 360.0) - 180.0) ** 2
    fixed = (
        layout.known_deg[task[which]] ** 2
        + evidence.rounding_var[row[which]]
        + np.where(bent[which], var[who, habit] + shift_var[which], 0.0)
    )[pair]
    weight = weights[way, habit[pair]]
    mass, held = np.empty((len(SIGMAS_DEG), len(which))), fit.joint[who, habit].T
    each = np.empty((len(SIGMAS_DEG), len(pair)), np.float32)
    for place, sigma in enumerate(SIGMAS_DEG):
        own = np.where(bent[which], sigma**2, RECKONED_SIGMA_DEG**2)[pair]
        each[place] = weight * (
            (1.0 - TAIL_SHARE) * _density(squared, own + fixed)
            + TAIL_SHARE * _density(squared, own * TAIL_WIDER**2 + fixed)
        )
        mass[place] = np.add.reduceat(each[place], starts) + background[row[which]]
    # The posteriors of habit and sigma have heard this reading already: within each of them the
    # ways share its probability.
    held = held / mass
    probability = np.einsum("sw,sw->w", each, held[:, pair])
    unexplained = np.bincount(which, held.sum(axis=0) * background[row[which]], len(chosen))
    beyond = biases.beyond(biases.FAULT_DEG, OFFSETS_DEG[None, :] + compass_offset[which][:, None])
    off = np.where(bent[which], (fit.offset[who, habit] * beyond).sum(axis=1), 0.0)
    slips = np.bincount(evidence.slip[way], probability, len(CODES))
    once = (evidence.habit[way] != INDEX["ok"]) & (evidence.habit[way] != _HABIT_CODES[habit[pair]])
    slips += np.bincount(evidence.habit[way], probability * once, len(CODES))
    slips[INDEX["ok"]] -= (probability * once * (evidence.slip[way] == INDEX["ok"])).sum()
    slips[INDEX["unexplained"]] += unexplained.sum()
    felt = evidence.felt[way]
    heavy = probability > LEAST_WAY
    return Explained(
        chosen,
        which[pair][heavy],
        way[heavy],
        probability[heavy],
        (probability * off[pair] * felt)[heavy],
        felt[heavy],
        unexplained,
        fault,
        turned,
        slips,
    )


_HABIT_CODES = np.array([INDEX[code] for code in HABITS])


def _density(squared, variance):
    return np.exp(-0.5 * squared / variance) / np.sqrt(2.0 * np.pi * variance)


@functools.cache
def _code(habit, slip, is_turned, extra):
    return causes.combined(
        ({CODES[habit], CODES[slip]} ^ ({"reversed"} if is_turned else set())) - {"ok"} | set(extra)
    )


def ranked(evidence, part):
    """A verdict for each reading of a part: ways added up by cause. Faults of the ground and
    offsets go with every way that has a needle.
    """
    by_cause = [{"unexplained": value} for value in part.unexplained.tolist()]
    details = [{} for _ in by_cause]
    habits, slips, named = (
        evidence.habit[part.way].tolist(),
        evidence.slip[part.way].tolist(),
        evidence.detail[part.way].tolist(),
    )
    grounds, turned = part.ground.tolist(), (part.turned >= 0.5).tolist()
    right = evidence.is_right[evidence.row_of[part.readings]].tolist()
    likely = zip(
        part.of.tolist(),
        habits,
        slips,
        named,
        part.probability.tolist(),
        part.off.tolist(),
        part.felt.tolist(),
        strict=True,
    )
    for of, habit, slip, detail, total, off, felt in likely:
        ground, found = grounds[of] * felt, by_cause[of]
        if right[of]:
            found["ok"] = found.get("ok", 0.0) + total
            continue
        for extra, share in (
            ((), (1 - ground) * (total - off)),
            (("station_fault",), ground * (total - off)),
            (("compass_offset",), (1 - ground) * off),
            (("compass_offset", "station_fault"), ground * off),
        ):
            if share > LEAST_WAY:
                code = _code(habit, slip, turned[of], extra)
                found[code] = found.get(code, 0.0) + share
                if detail:
                    details[of][code, detail] = details[of].get((code, detail), 0.0) + share
    return [likeliest(found, named_of) for found, named_of in zip(by_cause, details, strict=True)]

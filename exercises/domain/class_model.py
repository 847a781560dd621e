"""The class as one model: people's habits, offsets and scatter; stations', sight lines' and compasses' biases; slips.

A reading's needle stands off by x = station bias + line bias + compass offset + the person's own offset, and scatters by the
person's sigma. What a habit and a slip do to it is in the evidence; all ways to one answer, as a function of x, are a sum of
wrapped normals, which is tabulated once for each different answer (a histogram of positions, blurred by a Fourier transform).
People are integrated over a grid (habit, sigma, offset). Biases are found by coordinate ascent with a narrow and a wide prior
each, from two starts; the likelier fit is kept. Everything is linear in the number of readings.

Why a person is integrated and not fitted: with a best guess in place of the whole distribution, probabilities near habits and
offsets come out too sure. Why two starts: a class in which nearly everybody leaves the declination out looks like a bias at
every station to a fit that begins with the stations, and the reverse.
"""
from dataclasses import dataclass

import numpy as np

from . import causes
from .evidence import INDEX
from .kinds import kind_of

HABITS = ("ok", *causes.PERSISTENT)
# All numbers of this block are settings: common practice, no source, unless said; a class's own counts sharpen the rates.
HABIT_PRIOR = np.array([0.74, 0.06, 0.10, 0.05, 0.04, 0.01])  # in the order of HABITS: ok, reversed, ignored, wrong way, twice, convergence
HABIT_WEIGHT = 8.0  # people that the habit prior counts for
FOLLOWED = 0.93  # how often a person with a habit follows it
ONCE = {"reversed": 0.012, "declination_ignored": 0.012, "declination_wrong_way": 0.006, "declination_twice": 0.004, "convergence_ignored": 0.001}
SLIP_WEIGHT = 40.0  # readings that the slip prior counts for
SIGMAS_DEG = np.array([1.0, 1.5, 2.1, 3.0, 4.2, 6.0])
SIGMA_PRIOR = np.array([0.08, 0.17, 0.25, 0.25, 0.17, 0.08])  # 2-4 degrees after instruction, 4-6 at first
RECKONED_SIGMA_DEG = 0.7
OFFSETS_DEG = np.arange(-24.0, 25.0)  # a person's own compass or eye
OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE = 0.8, 8.0, 0.08
COMPASS_NARROW_DEG, COMPASS_WIDE_DEG, COMPASS_SHARE = 0.4, 8.0, 0.05
STATION_NARROW_DEG, STATION_WIDE_DEG, STATION_SHARE = 0.4, 12.0, 0.06
LINE_WIDE_DEG, LINE_SHARE = 30.0, 0.015
# A fault of the ground shows in several people, one of the compass in several readings; what fewer show is a slip far more often.
LEAST_PEOPLE, LEAST_READINGS, UNSHOWN = 3, 3, 0.02  # below these the prior of a fault is cut to this part
BIASES_DEG = np.arange(-40.0, 41.0)
REACH = 66  # degrees either side that the tables cover: a bias, an offset and a compass together
BINS = 360  # whole degrees round the circle; no spread is narrower than one
ROUNDS = 4
CHUNK = 2000  # readings at a time, to bound memory


@dataclass(frozen=True)
class Bias:
    """The bias of a station, a line or a compass: mean and standard error, degrees, and the probability that it is a fault."""

    degrees: float
    error_deg: float
    fault_probability: float


@dataclass(frozen=True)
class Fit:
    """`habit` (people, habits), `offset` and `offset_var` (people, habits) given each habit, `wide` (people, habits) the probability
    that the offset is a fault, `sigma` (people, sigmas); biases by station, by task and by compass; `objective` in natural logs.
    """

    habit: np.ndarray
    offset: np.ndarray
    offset_var: np.ndarray
    wide: np.ndarray
    sigma: np.ndarray
    stations: dict
    lines: list
    compasses: dict
    slip: np.ndarray
    objective: float


class Layout:
    """Who read what where, as index arrays over the readings; people, stations and compasses in order of appearance."""

    def __init__(self, answers, readings, evidence):
        self.people, self.person = np.unique([reading.person for reading in readings], return_inverse=True)
        self.row, self.task = evidence.row_of, evidence.task[evidence.row_of]
        self.needle = np.array([kind_of(answer.kind).reads_needle for answer in answers])
        self.stations = [answer.station for answer in answers]
        numbers = [reading.compass for reading in readings]
        users = {}
        for number, person in zip(numbers, self.person, strict=True):
            users.setdefault(number, set()).add(person)
        # A compass in one person's hand cannot be told from that person: only shared ones have an offset of their own.
        self.compasses = sorted(number for number, who in users.items() if number and len(who) > 1)
        place = {number: index for index, number in enumerate(self.compasses)}
        self.compass = np.array([place.get(number, -1) for number in numbers], int)
        self.readings_of = np.bincount(self.person, minlength=len(self.people))
        stood = np.array(self.stations)[self.task]
        self.people_at = {station: len(set(self.person[(stood == station) & self.needle[self.task]].tolist())) for station in dict.fromkeys(self.stations)}
        self.order = np.argsort(self.person, kind="stable")
        self.known = np.array([answer.budget.degrees("standing", "declination") if kind_of(answer.kind).reads_needle else 0.3 for answer in answers])
        self.line_narrow = np.array([max(answer.budget.degrees("survey"), 0.3) for answer in answers])
        self.asked_magnetic = np.array([answer.north == "magnetic" for answer in answers]) & self.needle


def fit(answers, readings, evidence):
    """The likelier of two fits: one that begins with the stations, one that begins with the people."""
    layout = Layout(answers, readings, evidence)
    slip = slip_prior()
    weights = way_weights(layout, evidence, slip)
    tables = _tables(layout, evidence, weights, slip, np.zeros(len(answers)))  # the same for both starts
    starts = [_ascend(layout, evidence, weights, slip, tables, stations_first) for stations_first in (True, False)]
    return layout, max(starts, key=lambda found: found.objective)


def slip_prior():
    """Prior rates of slips by code, (codes,): those of `causes.py`, the persistent ones as single slips."""
    rate = np.array([0.0 if cause.is_persistent else cause.rate for cause in causes.REGISTER.values()])
    for code, once in ONCE.items():
        rate[INDEX[code]] = once
    rate[INDEX["ok"]] = 0.0
    rate[INDEX["ok"]] = 1.0 - rate.sum()
    return rate


def learnt_slips(counts, readings):
    """Rates of slips, (codes,), from the expected counts in a class and the prior, which weighs as much as SLIP_WEIGHT readings."""
    return (counts + SLIP_WEIGHT * slip_prior()) / (readings + SLIP_WEIGHT)


def way_weights(layout, evidence, slip):
    """How probable each way is for a person of each habit, before where it puts the answer: (ways, habits)."""
    at_magnetic = layout.asked_magnetic[evidence.task][evidence.row]
    once = slip[evidence.habit]
    weights = np.empty((len(evidence.row), len(HABITS)))
    plain = evidence.habit == INDEX["ok"]
    for place, code in enumerate(HABITS):
        own = evidence.habit == INDEX[code]
        # Who leaves the declination out, or turns it wrongly, has nothing to leave out where magnetic is asked.
        acts = np.full(len(own), True) if code == "reversed" else ~at_magnetic
        follows = np.where(acts, FOLLOWED, 0.0) if code != "ok" else np.zeros(len(own))
        weights[:, place] = np.where(plain, 1.0 - follows, np.where(own & (follows > 0), follows, once)) * slip[evidence.slip]
    return weights * evidence.share[:, None]


def _tables(layout, evidence, weights, slip, shift):
    """Natural log of the probability of each different answer, given habit, sigma and x: (rows, habits, sigmas, 2 REACH + 1).

    `shift` (tasks,) is the bias taken out already. Positions are binned by degrees, split between neighbours.
    """
    rows = len(evidence.task)
    bent = evidence.sign != 0
    position = np.where(bent, evidence.sign * evidence.residual_deg, evidence.residual_deg)
    position = position - np.where(bent, shift[evidence.task][evidence.row], 0.0)
    place = np.mod(position, BINS)
    low, part = np.floor(place).astype(int) % BINS, place - np.floor(place)
    variance = layout.known[evidence.task] ** 2
    wide = np.zeros(rows)
    np.maximum.at(wide, evidence.row, np.where(evidence.half_width_deg > 1.0, evidence.half_width_deg ** 2 / 3.0, 1.0 / 12.0))
    frequency = np.arange(BINS // 2 + 1)
    window = np.arange(-REACH, REACH + 1) % BINS
    needle = layout.needle[evidence.task]
    found = np.empty((rows, len(HABITS), len(SIGMAS_DEG), 2 * REACH + 1), np.float32)
    background = slip[INDEX["unexplained"]] * evidence.cell_deg / 360.0
    for begin in range(0, rows, 400):
        span = slice(begin, min(begin + 400, rows))
        ways = slice(*np.searchsorted(evidence.row, (span.start, span.stop)))
        count = span.stop - span.start
        row = evidence.row[ways] - begin
        for habit in range(len(HABITS)):
            histogram = np.bincount(row * BINS + low[ways], weights[ways, habit] * (1.0 - part[ways]), count * BINS)
            histogram += np.bincount(row * BINS + (low[ways] + 1) % BINS, weights[ways, habit] * part[ways], count * BINS)
            spectrum = np.fft.rfft(histogram.reshape(count, BINS))
            for place_sigma, sigma in enumerate(SIGMAS_DEG):
                spread = np.where(needle[span], sigma ** 2, RECKONED_SIGMA_DEG ** 2) + variance[span] + wide[span]
                damping = np.exp(-0.5 * spread[:, None] * np.radians(frequency) ** 2)
                blurred = np.fft.irfft(spectrum * damping, BINS)
                # An answer without a needle does not feel x.
                values = np.where(needle[span, None], blurred[:, window], blurred[:, :1])
                found[span, habit, place_sigma] = np.log(np.maximum(values, 0.0) + background[span, None] + 1e-12)
    return found


def _people(layout, tables, compass_shift, log_habit, log_sigma, log_offset):
    """Posterior of each person over (habit, sigma, offset), and the log evidence of all people."""
    people, offsets = len(layout.people), len(OFFSETS_DEG)
    total = np.zeros((people, len(HABITS), len(SIGMAS_DEG), offsets))
    begin_x = int(REACH + OFFSETS_DEG[0])
    for begin in range(0, len(layout.order), CHUNK):
        chosen = layout.order[begin:begin + CHUNK]
        moved = compass_shift[chosen]
        for shift in np.unique(moved):
            these = chosen[moved == shift]
            part = tables[layout.row[these], :, :, begin_x + shift:begin_x + shift + offsets]
            person = layout.person[these]
            first = np.flatnonzero(np.r_[True, np.diff(person) > 0])
            total[person[first]] += np.add.reduceat(part, first, axis=0)
    total += log_habit[:, None, None] + log_sigma[None, :, None] + log_offset[:, None, None, :]
    top = total.max(axis=(1, 2, 3), keepdims=True)
    posterior = np.exp(total - top)
    mass = posterior.sum(axis=(1, 2, 3), keepdims=True)
    return posterior / mass, float((top + np.log(mass)).sum())


def _scan(layout, tables, posterior, compass_shift):
    """Log probability of each reading if the needle's bias were larger by each of BIASES_DEG: (readings, biases).

    The person's habit is averaged; sigma and offset stand at their most probable value within it.
    """
    habit = posterior.sum(axis=(2, 3))
    offset_given = posterior.sum(axis=2)
    offset = np.rint((offset_given * OFFSETS_DEG).sum(axis=2) / np.maximum(habit, 1e-12)).astype(int)
    sigma = posterior.sum(axis=(1, 3)).argmax(axis=1)
    found = np.empty((len(layout.row), len(BIASES_DEG)), np.float32)
    steps = np.arange(len(BIASES_DEG)) + int(BIASES_DEG[0]) + REACH
    for begin in range(0, len(layout.row), CHUNK):
        these = slice(begin, begin + CHUNK)
        person, row = layout.person[these], layout.row[these]
        mixed = np.zeros((len(person), len(BIASES_DEG)))
        for place in range(len(HABITS)):
            x = np.clip(steps[None, :] + offset[person, place][:, None] + compass_shift[these][:, None], 0, 2 * REACH)
            mixed += habit[person, place][:, None] * np.exp(tables[row[:, None], place, sigma[person][:, None], x])
        found[these] = np.log(np.maximum(mixed, 1e-30))
    return found


def _log_mix(grid, narrow, wide, share):
    """Log prior on a grid of a bias that is mostly narrow and sometimes wide, and the probability of wide at each point."""
    def weight(spread):
        density = np.exp(-0.5 * (grid / spread) ** 2)
        return density / density.sum()

    calm, fault = (1.0 - share) * weight(narrow), share * weight(wide)
    return np.log(calm + fault), fault / (calm + fault)


def _bias(log_like, log_prior, wide):
    """The posterior of a bias on BIASES_DEG, as `Bias`."""
    log_posterior = log_like + log_prior
    weight = np.exp(log_posterior - log_posterior.max())
    weight /= weight.sum()
    mean = float((weight * BIASES_DEG).sum())
    return Bias(mean, float(np.sqrt((weight * (BIASES_DEG - mean) ** 2).sum() + 1.0 / 12.0)), float((weight * wide).sum()))


def _moved(log_like, by):
    """A log likelihood over BIASES_DEG as a function of bias - by, for a bias that is counted from nothing."""
    return np.interp(BIASES_DEG - by, BIASES_DEG, log_like)


def _ground(layout, scan, shift):
    """Biases of stations and lines from the readings' scans about the present shift of each task."""
    tasks = np.zeros((len(layout.stations), len(BIASES_DEG)))
    np.add.at(tasks, layout.task, scan)
    stations, lines, objective = {}, [Bias(0.0, 0.0, 0.0)] * len(layout.stations), 0.0
    apart = BIASES_DEG[:, None] - BIASES_DEG[None, :]
    for station in dict.fromkeys(layout.stations):
        own = [task for task, where in enumerate(layout.stations) if where == station and layout.needle[task]]
        shown = 1.0 if layout.people_at[station] >= LEAST_PEOPLE else UNSHOWN
        log_station, station_wide = _log_mix(BIASES_DEG, STATION_NARROW_DEG, STATION_WIDE_DEG, STATION_SHARE * shown)
        whole, line_priors = np.zeros(len(BIASES_DEG)), {}
        for task in own:
            tasks[task] = _moved(tasks[task], shift[task])
            narrow = np.exp(-0.5 * (apart / layout.line_narrow[task]) ** 2)
            wide = np.exp(-0.5 * (apart / LINE_WIDE_DEG) ** 2)
            calm, fault = (1.0 - LINE_SHARE * shown) * narrow / narrow.sum(axis=0), LINE_SHARE * shown * wide / wide.sum(axis=0)
            line_priors[task] = calm, fault
            top = tasks[task].max()
            whole += np.log((calm + fault).T @ np.exp(tasks[task] - top) + 1e-300) + top
        stations[station] = found = _bias(whole, log_station, station_wide)
        objective += float(np.interp(found.degrees, BIASES_DEG, log_station))
        for task in own:
            calm, fault = (matrix[:, round(found.degrees - BIASES_DEG[0])] for matrix in line_priors[task])
            total = _bias(tasks[task], np.log(calm + fault + 1e-300), fault / (calm + fault))
            lines[task] = Bias(total.degrees - found.degrees, total.error_deg, total.fault_probability)
            objective += float(np.log(np.interp(total.degrees, BIASES_DEG, calm + fault) + 1e-300))
    return stations, lines, objective


def _ascend(layout, evidence, weights, slip, tables, stations_first):
    """One fit by coordinate ascent, from the tables of no bias."""
    shift, compass = np.zeros(len(layout.stations)), np.zeros(len(layout.compasses))
    log_habit, log_sigma = np.log(HABIT_PRIOR), np.log(SIGMA_PRIOR)
    enough = (layout.readings_of >= LEAST_READINGS).astype(int)
    priors = [_log_mix(OFFSETS_DEG, OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE * part) for part in (UNSHOWN, 1.0)]
    log_offset, offset_wide = (np.array(pair)[enough] for pair in zip(*priors, strict=True))
    log_compass, compass_wide = _log_mix(BIASES_DEG, COMPASS_NARROW_DEG, COMPASS_WIDE_DEG, COMPASS_SHARE)
    nobody = np.zeros((len(layout.people), len(HABITS), len(SIGMAS_DEG), len(OFFSETS_DEG)))
    nobody[:, :, 3, len(OFFSETS_DEG) // 2] = HABIT_PRIOR
    stations, lines, compasses, ground = {}, [], {}, 0.0
    for turn in range(ROUNDS):
        if turn:
            tables = _tables(layout, evidence, weights, slip, shift)
        moved = np.rint(np.where(layout.compass >= 0, compass[layout.compass] if len(compass) else 0.0, 0.0)).astype(int)
        if turn == 0 and stations_first:
            posterior = nobody
        else:
            posterior, people = _people(layout, tables, moved, log_habit, log_sigma, log_offset)
            counts = posterior.sum(axis=(0, 2, 3)) + HABIT_WEIGHT * HABIT_PRIOR
            log_habit = np.log(counts / counts.sum())
            counts = posterior.sum(axis=(0, 1, 3)) + 10.0 * SIGMA_PRIOR
            log_sigma = np.log(counts / counts.sum())
        if turn == ROUNDS - 1:
            break
        scan = _scan(layout, tables, posterior, moved)
        stations, lines, ground = _ground(layout, scan, shift)
        shift = np.array([stations[station].degrees + line.degrees if needle else 0.0
                          for station, line, needle in zip(layout.stations, lines, layout.needle, strict=True)])
        for place, number in enumerate(layout.compasses):
            own = scan[(layout.compass == place) & layout.needle[layout.task]].sum(axis=0)
            compasses[number] = found = _bias(_moved(own, compass[place]), log_compass, compass_wide)
            compass[place] = found.degrees
    habit = posterior.sum(axis=(2, 3))
    offset_given = posterior.sum(axis=2) / np.maximum(habit, 1e-12)[:, :, None]
    offset = (offset_given * OFFSETS_DEG).sum(axis=2)
    return Fit(habit, offset, (offset_given * OFFSETS_DEG ** 2).sum(axis=2) - offset ** 2, (offset_given * offset_wide[:, None, :]).sum(axis=2),
               posterior.sum(axis=(1, 3)), stations, lines, compasses, slip, people + ground + float(HABIT_WEIGHT * HABIT_PRIOR @ log_habit))

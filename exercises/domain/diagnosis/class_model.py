"""The class as one model: people's habits, offsets and scatter; stations', sight lines' and
compasses' biases; slips.

A reading's needle stands off by x = station bias + line bias + compass offset + the person's own
offset (+ 180 for a compass whose needle is reversed), and scatters by the person's sigma. What a
habit and a slip do to it is in the evidence; all ways to one answer, as a function of x, stand in a
table (likelihood.py). People are integrated over a grid (habit, sigma, offset). Biases are found by
coordinate ascent with a narrow and a wide prior each (biases.py), from two starts; the likelier fit
is kept. Then each station and line is asked whether its fault began or ended while the class was
held. Everything is linear in the readings.

Why a person is integrated and not fitted: with a best guess in place of the whole distribution,
probabilities near habits and offsets come out too sure. Why two starts: a class in which nearly
everybody leaves the declination out looks like a bias at every station to a fit that begins with
the stations, and the reverse.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from . import biases, priors
from .biases import BIASES_DEG, NO_BIAS
from .class_arrays import lay_out, shift, users_of_compasses, with_changes
from .likelihood_table import Table
from .priors import HABITS, SIGMAS_DEG
from .residuals import INDEX

# All numbers of this block are settings: common practice, no source.
FOLLOWED = 0.9  # how often a person with a habit follows it
OFFSETS_DEG = np.arange(-24.0, 25.0)  # a person's own compass or eye
OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE = 1.2, 8.0, 0.1
REVERSED_SHARE = 0.015  # of numbered compasses: a needle that has changed its poles
# how reversed a compass's people must look on the average before the compass itself is asked
SUSPECT_REVERSED = 0.2
# A fault of the ground shows in several people, one of the compass in several readings; what fewer
# show is a slip far more often.
LEAST_PEOPLE, LEAST_READINGS, UNSHOWN = (
    3,
    3,
    0.02,
)  # below these the prior of a fault is cut to this part
ROUNDS = 3
LEAST_HABIT = 1e-3  # probability below which a person's habit is left out of account
CHUNK = 2000  # readings at a time, to bound memory
H, S, X = len(HABITS), len(SIGMAS_DEG), len(OFFSETS_DEG)


@dataclass(frozen=True)
class Fit:
    """What the readings say of everything but themselves.

    `joint` (people, habits, sigmas) and `offset` (people, habits, offsets), the latter given the
    habit; `places`, `lines` and `compasses` biases in the layout's order; `turned` (compasses,) the
    probability that a needle is reversed; `slips` and `habits` the rates in use; `objective` in
    natural logs, to compare fits of one class.
    """

    joint: np.ndarray
    offset: np.ndarray
    places: list
    lines: list
    compasses: list
    turned: np.ndarray
    slips: np.ndarray
    habits: np.ndarray
    sigmas: np.ndarray
    objective: float

    @property
    def habit(self):
        """(people, habits)."""
        return self.joint.sum(axis=2)


@dataclass(frozen=True)
class Known:
    """What a class knew before: biases of stations by code, of lines by task, of compasses by
    number with the probability of a reversed needle; rates of slips, habits and scatters. Readings
    that arrive later are judged by it at once."""

    stations: dict
    lines: dict
    compasses: dict
    turned: dict
    slips: tuple
    habits: tuple
    sigmas: tuple


def way_weights(evidence, slips):
    """How probable each way is for a person of each habit, before where it puts the answer: (ways,
    habits).
    """
    once = np.asarray(slips)[evidence.habit]
    weights = np.empty((len(evidence.row), H))
    plain = evidence.habit == INDEX["ok"]
    for place, code in enumerate(HABITS):
        own = evidence.habit == INDEX[code]
        # A habit acts where there is a way of it. Who leaves the declination out has nothing to
        # leave out where none is wanted.
        acts = np.bincount(evidence.row, own, len(evidence.task)) > 0
        acts &= (code == "reversed") | ~evidence.is_idle
        follows = FOLLOWED * acts[evidence.row] * (code != "ok")
        weights[:, place] = (
            np.where(plain, 1.0 - follows, np.where(own & (follows > 0), follows, once))
            * np.asarray(slips)[evidence.slip]
        )
    return weights * evidence.share[:, None]


def background(evidence, slips):
    """How probable each different answer is by a cause that is none of ours: (rows,)."""
    return np.asarray(slips)[INDEX["unexplained"]] * evidence.cell_deg / 360.0


def fit(answers, readings, evidence, stated=priors.STATED):
    """The layout and the likelier of two fits, one that begins with the stations and one that
    begins with the people.
    """
    layout = lay_out(answers, readings, evidence)
    table = _table(layout, evidence, stated.slips)
    with ThreadPoolExecutor(
        2
    ) as pool:  # NumPy lets two threads work; the order of results is that of the starts
        found = max(
            pool.map(
                lambda stations_first: _Ascent(layout, table, stated).run(stations_first),
                (True, False),
            ),
            key=lambda one: one.objective,
        )
    changed = with_changes(layout, _Ascent(layout, table, stated, found).scan_of_ground())
    return (
        (layout, found)
        if changed is layout
        else (changed, _Ascent(changed, table, stated).run(stations_first=False))
    )


def fit_people(answers, readings, evidence, known, stated=priors.STATED):
    """The layout and fit of some people's readings where the ground, the compasses and the rates
    are known already.
    """
    layout = lay_out(answers, readings, evidence)
    table = _table(layout, evidence, known.slips)
    numbers = sorted({reading.compass for reading in readings} & set(known.compasses))
    layout = replace(
        layout,
        compasses=tuple(numbers),
        compass=np.array(
            [numbers.index(r.compass) if r.compass in numbers else -1 for r in readings], int
        ),
    )
    start = Fit(
        np.empty(0),
        np.empty(0),
        [known.stations.get(place.station, NO_BIAS) for place in layout.places],
        [known.lines.get(answer.task, NO_BIAS) for answer in answers],
        [known.compasses[number] for number in numbers],
        np.array([known.turned[number] for number in numbers]),
        np.asarray(known.slips),
        np.asarray(known.habits),
        np.asarray(known.sigmas),
        0.0,
    )
    return layout, _Ascent(layout, table, stated, start).people_alone()


def _table(layout, evidence, slips):
    return Table(
        evidence,
        way_weights(evidence, slips),
        background(evidence, slips),
        layout.known_deg,
        layout.needle,
        X + 1,
    )


class _Ascent:
    """One coordinate ascent. Holds the present biases; `run` goes on from none, or they are
    given.
    """

    def __init__(self, layout, table, stated, begin=None):
        self.layout, self.table, self.stated = layout, table, stated
        self.order = np.argsort(layout.person, kind="stable")
        self.log_habit = np.log(begin.habits if begin else stated.habits)
        self.log_sigma = np.log(begin.sigmas if begin else stated.sigmas)
        enough = (
            np.bincount(layout.person[layout.bent], minlength=len(layout.people)) >= LEAST_READINGS
        )
        shares = [
            biases.prior(OFFSET_NARROW_DEG, OFFSET_WIDE_DEG, OFFSET_SHARE * part, OFFSETS_DEG)
            for part in (UNSHOWN, 1.0)
        ]
        self.log_offset = np.array(shares)[enough.astype(int)]
        self.places = begin.places if begin else [NO_BIAS] * len(layout.places)
        self.lines = begin.lines if begin else [NO_BIAS] * len(layout.lines)
        self.compasses = begin.compasses if begin else [NO_BIAS] * len(layout.compasses)
        self.turned = begin.turned if begin else np.zeros(len(layout.compasses))
        self.slips = begin.slips if begin else np.asarray(stated.slips)
        self.joint = begin.joint if begin else None
        self.offset = begin.offset if begin else None
        first = np.full(len(layout.people), -1)
        first[layout.person[::-1]] = layout.compass[::-1]
        self.loyal = (
            np.bincount(layout.person, layout.compass != first[layout.person], len(layout.people))
            == 0
        )
        self.users = users_of_compasses(layout)
        self.shown = [
            len(set(layout.person[(layout.place == place) & layout.bent].tolist())) >= LEAST_PEOPLE
            for place in range(len(layout.places))
        ]

    def run(self, stations_first):
        """Rounds of people, ground, compasses, from no bias. Returns a Fit."""
        people = ground = 0.0
        if stations_first:
            self._nobody_has_a_habit()
            ground = self._ground()
        for turn in range(ROUNDS):
            people = self._people()
            if turn in (0, ROUNDS - 1):
                self._turn_compasses()
            if turn < ROUNDS - 1:
                ground = self._ground()
                self._offset_compasses()
        return self._fit(
            people
            + ground
            + float(self.stated.people * np.asarray(self.stated.habits) @ self.log_habit)
        )

    def people_alone(self):
        """The people, with everything else as it was given."""
        return self._fit(self._people(learn=False))

    def _fit(self, objective):
        return Fit(
            self.joint,
            self.offset,
            list(self.places),
            list(self.lines),
            list(self.compasses),
            self.turned.copy(),
            self.slips,
            np.exp(self.log_habit),
            np.exp(self.log_sigma),
            objective,
        )

    def _nobody_has_a_habit(self):
        count = len(self.layout.people)
        self.joint = np.zeros((count, H, S))
        self.joint[:, :, 3] = self.stated.habits
        self.offset = np.zeros((count, H, X))
        self.offset[:, :, X // 2] = 1.0

    def shift(self):
        """What bends each reading's needle beyond the person's own offset, degrees."""
        return shift(self.layout, self.places, self.lines, self.compasses, self.turned)

    def _people(self, learn=True):
        """Integrate every person over (offset, habit, sigma); learn the rates of habits and
        scatters. Returns the log evidence.
        """
        posterior, evidence, self.by_offset = self._integrate(
            self.order, self.shift(), self.log_habit
        )
        self.joint = posterior.sum(axis=1).reshape(-1, H, S)
        by_habit = posterior.reshape(-1, X, H, S).sum(axis=3).transpose(0, 2, 1)
        self.offset = by_habit / np.maximum(by_habit.sum(axis=2, keepdims=True), 1e-300)
        if learn:
            self.log_habit = np.log(
                priors.mixed(self.stated.habits, self.stated.people, self.joint.sum(axis=(0, 2)))
            )
            self.log_sigma = np.log(
                priors.mixed(self.stated.sigmas, self.stated.people, self.joint.sum(axis=(0, 1)))
            )
        return float(evidence.sum())

    def _integrate(self, order, shift, log_habit):
        """The people whose readings are in `order`, which is sorted by person: posterior (people,
        offsets, habits x sigmas), log evidence (people,), and log likelihood by offset (people,
        offsets), before the offset's own prior."""
        layout = self.layout
        who, person = np.unique(layout.person[order], return_inverse=True)
        total = np.zeros((len(who), X, H * S))
        for begin in range(0, len(order), CHUNK):
            chosen, own = order[begin : begin + CHUNK], person[begin : begin + CHUNK]
            part = self.table.windows(layout.row[chosen], OFFSETS_DEG[0] + shift[chosen], X)
            first = np.flatnonzero(np.r_[True, np.diff(own) > 0])
            total[own[first]] += np.add.reduceat(part, first, axis=0)
        total += (log_habit[:, None] + self.log_sigma[None, :]).reshape(-1)
        top = total.max(axis=(1, 2), keepdims=True)
        total -= top
        posterior = np.exp(total, out=total)
        by_offset = np.log(posterior.sum(axis=2) + 1e-300) + top[:, :, 0]
        evidence = biases.log_sum(by_offset + self.log_offset[who])
        posterior *= np.exp(self.log_offset[who] + top[:, :, 0] - evidence[:, None])[:, :, None]
        return posterior, evidence, by_offset

    def _turn_compasses(self):
        """Ask each shared compass whether its needle is reversed: are its people likelier so than
        each with a habit of their own? The rate of that habit is the other people's, for these very
        people are in question."""
        layout = self.layout
        reversed_habit = self.joint[:, HABITS.index("reversed")].sum(axis=1)
        all_habits, shift, position = (
            self.joint.sum(axis=(0, 2)),
            self.shift(),
            np.searchsorted(layout.person[self.order], np.arange(len(layout.people) + 1)),
        )
        for place in range(len(layout.compasses)):
            users = self.users[place]
            if self.turned[place] < 0.5 and reversed_habit[users].mean() < SUSPECT_REVERSED:
                continue
            others = np.maximum(all_habits - self.joint[users].sum(axis=(0, 2)), 0.0)
            log_habit = np.log(priors.mixed(self.stated.habits, self.stated.people, others))
            own, evidence = (
                np.concatenate([self.order[position[user] : position[user + 1]] for user in users]),
                [],
            )
            turns = 180.0 * (layout.bent & (layout.compass == place))
            for turned in (
                shift - turns * (self.turned[place] >= 0.5),
                shift + turns * (self.turned[place] < 0.5),
            ):
                evidence.append(self._integrate(own, turned, log_habit)[1].sum())
            odds = np.log(REVERSED_SHARE / (1.0 - REVERSED_SHARE)) + evidence[1] - evidence[0]
            self.turned[place] = 1.0 / (1.0 + np.exp(-np.clip(odds, -50, 50)))
        if (self.turned >= 0.5).any():
            self._people(learn=False)

    def scan(self):
        """Log probability of each reading if its bias were larger by each of BIASES_DEG: (readings,
        biases).

        Habits are averaged; within each, the offset stands at its mean and sigma at its likeliest.
        """
        layout, shift = self.layout, self.shift()
        habit = self.joint.sum(axis=2)
        offset = self.offset @ OFFSETS_DEG
        sigma = self.joint.sum(axis=1).argmax(axis=1)
        found = np.full((len(layout.row), len(BIASES_DEG)), 1e-30)
        for begin in range(0, len(layout.row), CHUNK):
            person = layout.person[begin : begin + CHUNK]
            which, place = np.nonzero(habit[person] > LEAST_HABIT)
            who, reading = person[which], begin + which
            part = self.table.along(
                layout.row[reading],
                place * S + sigma[who],
                BIASES_DEG[0] + shift[reading] + offset[who, place],
                len(BIASES_DEG),
            )
            np.add.at(found, reading, np.exp(part) * habit[who, place][:, None])
        return np.log(found)

    def scan_of_ground(self):
        """As `scan`, of the whole bias of the ground, whatever it was taken for so far."""
        whole = np.array(
            [
                self.places[line.place].degrees + bias.degrees
                for line, bias in zip(self.layout.lines, self.lines, strict=True)
            ]
        )
        scans = self.scan()
        for line, by_deg in enumerate(whole):
            own = self.layout.line == line
            scans[own] = biases.moved(scans[own], by_deg)
        return scans

    def _ground(self):
        """Biases of places and lines from the readings' scans. Returns their log prior."""
        layout, scans = self.layout, self.scan()
        by_line = np.zeros((len(layout.lines), len(BIASES_DEG)))
        np.add.at(by_line, layout.line[layout.bent], scans[layout.bent])
        objective = 0.0
        for place in range(len(layout.places)):
            own = [
                index
                for index, line in enumerate(layout.lines)
                if line.place == place and layout.needle[line.task]
            ]
            objective += self._place(place, own, by_line)
        return objective

    def _place(self, place, own, by_line):
        """One place with its lines. Each line's own bias is summed over to find the place's, then
        found given that one.
        """
        share = 1.0 if self.shown[place] else UNSHOWN
        log_place = biases.prior(
            biases.STATION_NARROW_DEG, biases.STATION_WIDE_DEG, biases.STATION_SHARE * share
        )
        total, log_lines = np.zeros(len(BIASES_DEG)), {}
        for line in own:
            whole = biases.moved(
                by_line[line], self.places[place].degrees + self.lines[line].degrees
            )
            log_lines[line] = (
                whole,
                _log_line(self.layout.narrow_deg[self.layout.lines[line].task], share),
            )
            top = whole.max()
            total += np.log(np.exp(log_lines[line][1]).T @ np.exp(whole - top) + 1e-300) + top
        self.places[place] = found = biases.posterior(total, log_place)
        objective = float(np.interp(found.degrees, BIASES_DEG, log_place))
        for line, (whole, log_line) in log_lines.items():
            given = log_line[:, round(found.degrees - BIASES_DEG[0])]
            own_bias = biases.posterior(
                biases.moved(whole, -found.degrees),
                biases.moved(given, -found.degrees),
                max(biases.FAULT_DEG, 2.5 * self.layout.narrow_deg[self.layout.lines[line].task]),
            )
            self.lines[line] = own_bias
            objective += float(np.interp(own_bias.degrees + found.degrees, BIASES_DEG, given))
        return objective

    def _offset_compasses(self):
        """Offsets of shared compasses. A person's own offset is summed over for each that the
        compass might have, so that what several people have in common goes over to the compass. Who
        read with two compasses says nothing of either."""
        log_prior = biases.prior(
            biases.COMPASS_NARROW_DEG, biases.COMPASS_WIDE_DEG, biases.COMPASS_SHARE
        )
        for place, before in enumerate(self.compasses):
            users = self.users[place][self.loyal[self.users[place]]]
            total = np.zeros(len(BIASES_DEG))
            for user in users:
                # Own offset = what is seen beyond the present offset of the compass, less what the
                # compass had more.
                own = OFFSETS_DEG[None, :] + before.degrees - BIASES_DEG[:, None]
                total += biases.log_sum(
                    self.by_offset[user]
                    + np.interp(own, OFFSETS_DEG, self.log_offset[user], left=-40.0, right=-40.0)
                )
            self.compasses[place] = biases.posterior(total, log_prior)


def _log_line(narrow_deg, share):
    """Log prior of a line's whole bias (rows) given that of its place (columns)."""
    apart = BIASES_DEG[:, None] - BIASES_DEG[None, :]
    calm, fault = (
        np.exp(-0.5 * (apart / spread) ** 2) for spread in (narrow_deg, biases.LINE_WIDE_DEG)
    )
    share = biases.LINE_SHARE * share
    return np.log(
        (1.0 - share) * calm / calm.sum(axis=0) + share * fault / fault.sum(axis=0) + 1e-300
    )

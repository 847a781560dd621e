"""Whole classes with known truth, to test the diagnosis from outside: readings made stage by stage
from the trade's facts.

Nothing here comes from the model that is tested: where one stands, what one aims at, the needle,
the dial, the arithmetic and the writing are acted out, so that a difference between this and the
model is a finding. Signs: declination positive where magnetic north lies east of true; errors are
reading minus answer. A truth names only what changed the answer: a cause without which the same
would have been written is left out. Rates, spreads and sizes: common practice, no source, unless
said.

Decided where the trade is silent:
- Scatter is skewed from person to person and heavy-tailed; in some classes it grows with time. A
habit is kept in 85 to 100 %.
- Arithmetic is done in whole degrees. A habit of declination leaves no trace where the needle
already shows the asked north; a slip there is a needless correction, which gives true for magnetic
(`declination_ignored`).
- `declination_twice` doubles the correction, or adds one to what a set compass shows. With a set
compass the arithmetic left out or turned round shows only where magnetic is asked, for only there
is any wanted.
- Two reversals (needle and person) undo each other. At another mark that mark's attraction counts.
A wrong line bends one task only.
- Swapped digits above 360 are mostly noticed, else kept as on paper. In `follow` the nearest
visible target is named, however far.
- Who copies writes what another wrote, mistakes and all: its truth is the original's. Fives are
written for numbers of a dial, never for sums. A needle hardly seen adds an error of its own, which
is nobody's mistake below BLUR_DEG and "unexplained" above.
"""

import datetime
import math
from dataclasses import dataclass, field, replace

import numpy as np

from exercises.domain.tasks import key
from exercises.domain.tasks.answer import Answer
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Site
from tests.acting import act, seen_as
from tests.simulated_class import ON, Setting, TrueCompass, TruePerson, enrol, issue
from tests.simulated_ground import Ground, bend_lines, bias_stations, lay_out, plan
from tests.turns import Turns, visits

BLURRED_DEG = 12.0  # sd of a needle hardly seen: fixtures/published/real_readings.csv
MEDIAN = 0.6744897501960817  # median size of a standard normal
BLUR_DEG = 8.0  # what a needle hardly seen adds is the reading's fault beyond this
BIG_DEG = 3.0  # from here an offset or a bias is a fault: FM 3-25.26 withdraws a compass above it
SLIPS = {  # code: (stage, share of the slips); the shares vary from class to class
    "other_station": ("stand", 0.06),
    "other_target": ("aim", 0.12),
    "reversed": ("needle", 0.18),
    "mirrored": ("dial", 0.07),
    "counted_back": ("dial", 0.08),
    "quarter_turn": ("dial", 0.05),
    "ten_off": ("dial", 0.10),
    "declination_ignored": ("arithmetic", 0.12),
    "declination_wrong_way": ("arithmetic", 0.05),
    "declination_twice": ("arithmetic", 0.03),
    "convergence_ignored": ("arithmetic", 0.02),
    "digits_swapped": ("write", 0.06),
    "digit_dropped": ("write", 0.04),
    "hundred_off": ("write", 0.04),
    "mils": ("write", 0.03),
    "unexplained": ("nothing", 0.09),
}
NEEDLE_FAULTS = ("station_fault", "compass_offset")
WITHOUT = {  # what cannot happen in a kind, by stage or code
    "sight": (),
    "follow": ("digit_dropped", "mils"),
    "convert": ("stand", "aim", "needle", "mirrored", "counted_back", "quarter_turn", "mils"),
    "back": ("stand", "aim", "counted_back", "quarter_turn", "arithmetic", "mils"),
    "map": ("declination_wrong_way",),
}
LUCK = (
    "which",
    "label",
    "sign",
    "size",
    "variant",
    "digit",
    "notice",
    "anything",
    "carry",
    "setting",
)


@dataclass(frozen=True)
class Seen:
    """How a reading came about: the person's sigma then, what was drawn from it, and what else
    turned the needle (no reversal).
    """

    sigma_deg: float
    scatter_deg: float
    shift_deg: float


@dataclass(frozen=True)
class Held:
    """A class as it was held. Readings in the order of time, with what goes along with each; the
    truth beside them; `copied` says which were written off another person.
    """

    setting: Setting
    site: Site
    on: datetime.date
    answers: tuple
    readings: list
    minutes: list
    texts: list
    truths: list
    seen_by: list
    people: dict
    stations: dict
    lines: dict
    compasses: dict
    copied: list = field(default_factory=list)

    def offset_deg(self, reading):
        """What the person and the compass of a reading add to it together, degrees."""
        return self.people[reading.person].own_deg + self.compasses[reading.compass].offset_deg


@dataclass(frozen=True)
class Scene:
    """One person before one task, with everything that chance decides already thrown: `luck` maps
    names to uniform numbers.
    """

    ground: Ground
    answer: Answer
    person: TruePerson
    compass: TrueCompass
    biases: dict
    line_deg: float
    scatter_deg: float
    luck: dict
    blur_deg: float = 0.0

    def pick(self, options, name):
        """One of some options, by luck."""
        return options[int(self.luck[name] * len(options))]

    def place(self, faults):
        """Where one stands: the mark, or another that sees the target."""
        marks = [other.code for other in self.answer.stations]
        return (
            self.pick(marks, "which")
            if "other_station" in faults and marks
            else self.answer.station
        )

    def shift(self, faults, place):
        """What bends the needle: attraction and offsets. The big ones are faults, and can be
        thought away.
        """
        bias, offset = self.biases[place], self.person.offset_deg
        bias = bias if abs(bias) <= BIG_DEG or "station_fault" in faults else 0.0
        offset = offset if abs(offset) <= BIG_DEG or "compass_offset" in faults else 0.0
        return bias + offset

    def stray(self, faults):
        """What chance adds to the needle. A big error of poor sight is a fault, and can be thought
        away.
        """
        is_added = abs(self.blur_deg) <= BLUR_DEG or "poor_sight" in faults
        return self.scatter_deg + (self.blur_deg if is_added else 0.0)

    def bearing(self, faults, place, target):
        """True bearing of a target; that of the task may lie elsewhere than the key has it, beyond
        the survey's own error. A big bend is a fault, and can be thought away.
        """
        is_there = abs(self.line_deg) <= BIG_DEG or "station_fault" in faults
        is_wrong = target == self.answer.target and is_there
        return self.ground.bearing(place, target) + (self.line_deg if is_wrong else 0.0)

    def dial_north(self):
        """The north that the dial shows."""
        return "true" if self.compass.instrument.declination_is_set else "magnetic"

    def needle(self, faults, place):
        """Dial minus true bearing when the needle is boxed, scatter aside."""
        norths = self.answer.norths
        magnetic = -(norths.declination_deg + self.ground.declination_error_deg)
        setting = (
            round(norths.declination_deg) if self.compass.instrument.declination_is_set else 0.0
        )
        return magnetic + setting + self.shift(faults, place) + 180.0 * ("reversed" in faults)


def happen(scene, shares, rng, more=()):
    """The faults of one reading: the ground's and the compass's, then the habits, then slips, at
    most one in each stage; `more` has come about already (Turns.more).
    """
    answer, person, by_stage = scene.answer, scene.person, {}
    given = answer.given_north if answer.kind == "convert" else scene.dial_north()
    is_idle = given == answer.north == "magnetic" or (
        answer.kind == "convert" and "magnetic" not in (given, answer.north)
    )
    reads_needle = kind_of(answer.kind).reads_needle
    # where a habit of the field acts
    for habit in person.habits if reads_needle or answer.kind == "convert" else ():
        if rng.random() < person.consistency and not (is_idle and habit.startswith("declination")):
            by_stage[SLIPS[habit][0]] = habit
    by_stage.update(slips_of(scene, shares, rng))
    if "nothing" in by_stage:
        return ["unexplained"]
    if answer.kind == "convert":
        by_stage.pop("needle", None)
    if not reads_needle:
        return list(by_stage.values())
    is_reversed = ("needle" in by_stage or "reversed" in more) != scene.compass.is_reversed
    slips = [code for stage, code in by_stage.items() if stage != "needle"]
    slips += [code for code in more if code != "reversed"]
    if abs(scene.blur_deg) > BLUR_DEG:
        slips.append("poor_sight")
    return [*NEEDLE_FAULTS, *(["reversed"] if is_reversed else []), *slips]


def slips_of(scene, shares, rng):
    """The slips of one reading by stage: mostly none, rarely two."""
    answer, person, by_stage = scene.answer, scene.person, {}
    possible = [code for code in shares if not {code, SLIPS[code][0]} & set(WITHOUT[answer.kind])]
    weights = np.array([shares[code] for code in possible])
    if rng.random() < person.slip_rate:
        two = rng.random() < 0.06 and len(possible) > 1
        for code in rng.choice(possible, 2 if two else 1, replace=False, p=weights / weights.sum()):
            by_stage[SLIPS[code][0]] = str(code)
    return by_stage


def scatter(setting, rng):
    """Scatter in units of a person's own, heavy-tailed or "normal"; that of "t" is as big in the
    median as a normal one.
    """
    if setting.tails == "student":
        return float(rng.standard_t(5) * math.sqrt(3 / 5))
    if setting.tails == "t":
        return float(rng.standard_t(setting.freedom) * MEDIAN / median_of_t(setting.freedom))
    if setting.tails == "normal":
        return float(rng.normal())
    return float(rng.normal() * (3 if rng.random() < 0.05 else 1))


def median_of_t(freedom):
    """The median size of Student's t, right to 0.001 from 2.5 degrees of freedom. Source: Hill
    (1970), Algorithm 396, expansion of the quantile; Abramowitz & Stegun 26.7.5.

    >>> round(median_of_t(3), 3)
    0.765
    """
    z = MEDIAN
    return (
        z
        + (z**3 + z) / (4 * freedom)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * freedom**3)
    )


def shares_of_slips(setting, rng):
    """What share of the slips each code has in a class."""
    if setting.slip_shares:
        return dict(setting.slip_shares)
    weights = rng.dirichlet([60 * share for _, share in SLIPS.values()])
    return dict(zip(SLIPS, weights, strict=True))


def imagine(held, ground, answer, person, biases, sigma_deg, rng):
    """One person before one task."""
    setting, needs_liking = held.setting, ["liking"] if held.setting.likes_digits else []
    stray_deg, names = sigma_deg * scatter(setting, rng), [*LUCK, *needs_liking]
    luck = dict(zip(names, rng.random(len(names)).tolist(), strict=True))
    is_blurred = (
        setting.poor_sight_rate
        and kind_of(answer.kind).reads_needle
        and rng.random() < setting.poor_sight_rate
    )
    return Scene(
        ground,
        answer,
        person,
        held.compasses[person.compass],
        biases,
        held.lines[answer.task],
        stray_deg,
        luck,
        float(rng.normal(0, BLURRED_DEG)) if is_blurred else 0.0,
    )


def keep(held, minute, name, scene, sigma_deg, faults):
    """Act a scene out, and put the reading on record with its truth."""
    answer, (text, truth) = scene.answer, act(scene, faults)
    shift_deg = (
        scene.shift(NEEDLE_FAULTS, scene.place(faults)) + scene.line_deg
        if kind_of(answer.kind).reads_needle
        else 0.0
    )
    seen, compass = seen_as(answer, text), scene.person.compass
    record(
        held,
        Reading(name, answer.task, seen, compass, scene.compass.instrument),
        minute,
        text,
        truth,
        Seen(sigma_deg, scene.scatter_deg, shift_deg),
    )


def copy(held, original, minute, person, name):
    """Put on record what a person writes off another: `original` is the place of that reading."""
    reading = replace(
        held.readings[original],
        person=name,
        compass=person.compass,
        instrument=held.compasses[person.compass].instrument,
    )
    record(
        held,
        reading,
        minute,
        held.texts[original],
        held.truths[original],
        held.seen_by[original],
        is_copied=True,
    )


def record(held, reading, minute, text, truth, seen_by, is_copied=False):
    """One reading more, with what goes along with it."""
    held.readings.append(reading)
    held.minutes.append(minute)
    held.texts.append(text)
    held.truths.append(truth)
    held.seen_by.append(seen_by)
    held.copied.append(is_copied)


def hold(setting, rng):
    """A class, from the ground to the last reading. The same setting and generator state give the
    same class.
    """
    ground = lay_out(setting, rng)
    answers = key.compute(plan(setting, ground.site, rng), ground.site, ON)
    compasses = issue(setting, rng)
    people = enrol(setting, compasses, rng)
    stations = bias_stations(setting, ground.site, answers, rng)
    lines = bend_lines(setting, answers, ground, rng)
    shares = shares_of_slips(setting, rng)
    local = {
        (code, number): float(rng.uniform(-setting.local_deg, setting.local_deg))
        for code in stations
        for number in compasses
    }  # it varies a little with the needle
    held = Held(
        setting,
        ground.site,
        ON,
        answers,
        [],
        [],
        [],
        [],
        [],
        people,
        stations,
        lines,
        compasses,
        [],
    )
    turns, going_round = Turns(held), visits(people, answers, rng)
    for minute, name, answer in going_round:
        person = turns.next_of(name)
        if (original := turns.copied_from(person, answer, rng)) is not None:
            copy(held, original, minute, person, name)
            continue
        tired = 1 + setting.tired_more * minute / going_round[-1][0] * setting.is_tiring
        if setting.tires_slips:
            person = replace(person, slip_rate=min(0.6, person.slip_rate * tired))
        biases = {
            code: one.at(minute) + local[code, person.compass] for code, one in stations.items()
        }
        sigma_deg = person.scatter_deg * tired
        scene = imagine(held, ground, answer, person, biases, sigma_deg, rng)
        faults = happen(scene, shares, rng, turns.more(name, answer, rng))
        keep(held, minute, name, scene, sigma_deg, faults)
    return held

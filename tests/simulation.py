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
"""

import datetime
import math
from dataclasses import dataclass

import numpy as np

from exercises.domain.tasks import key
from exercises.domain.tasks.answer import Answer
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Site
from tests.acting import act, seen_as
from tests.simulated_class import (
    ON,
    Ground,
    Setting,
    TrueCompass,
    TruePerson,
    bend_lines,
    bias_stations,
    enrol,
    issue,
    lay_out,
    plan,
)

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
    truth beside them.
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

    def bearing(self, faults, place, target):
        """True bearing of a target; that of the task may lie elsewhere than the key has it, beyond
        the survey's own error.
        """
        is_wrong = target == self.answer.target and "station_fault" in faults
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


def happen(scene, shares, rng):
    """The faults of one reading: the ground's and the compass's, then the habit, then slips, at
    most one in each stage.
    """
    answer, person, by_stage = scene.answer, scene.person, {}
    given = answer.given_north if answer.kind == "convert" else scene.dial_north()
    is_idle = given == answer.north == "magnetic" or (
        answer.kind == "convert" and "magnetic" not in (given, answer.north)
    )
    in_field = (
        kind_of(answer.kind).reads_needle or answer.kind == "convert"
    )  # where a habit of the field acts
    if (
        in_field
        and person.habit != "none"
        and rng.random() < person.consistency
        and not (is_idle and person.habit.startswith("declination"))
    ):
        by_stage[SLIPS[person.habit][0]] = person.habit
    possible = [code for code in SLIPS if not {code, SLIPS[code][0]} & set(WITHOUT[answer.kind])]
    if rng.random() < person.slip_rate:
        weights = np.array([shares[code] for code in possible])
        for code in rng.choice(
            possible, 2 if rng.random() < 0.06 else 1, replace=False, p=weights / weights.sum()
        ):
            by_stage[SLIPS[code][0]] = str(code)
    if "nothing" in by_stage:
        return ["unexplained"]
    if answer.kind == "convert":
        by_stage.pop("needle", None)
    if not kind_of(answer.kind).reads_needle:
        return list(by_stage.values())
    is_reversed = ("needle" in by_stage) != scene.compass.is_reversed
    slips = [code for stage, code in by_stage.items() if stage != "needle"]
    return [*NEEDLE_FAULTS, *(["reversed"] if is_reversed else []), *slips]


def visits(people, answers, rng):
    """(minute, name, answer) in the order of time: everybody goes round from a start of their own;
    a few leave a task out.
    """
    found = []
    for name in people:
        minute, start = rng.uniform(0, 3), int(rng.integers(len(answers)))
        for answer in answers[start:] + answers[:start]:
            minute += rng.gamma(
                4, 1.0
            )  # three to five minutes a station: common practice, no source
            if rng.random() < 0.97:
                found.append((float(minute), name, answer))
    return sorted(found, key=lambda visit: visit[:2])


def scatter(setting, rng):
    """Scatter in units of a person's own, heavy-tailed."""
    if setting.tails == "student":
        return float(rng.standard_t(5) * math.sqrt(3 / 5))
    return float(rng.normal() * (3 if rng.random() < 0.05 else 1))


def hold(setting, rng):
    """A class, from the ground to the last reading. The same setting and generator state give the
    same class.
    """
    ground = lay_out(setting, rng)
    answers = key.compute(plan(setting, ground.site, rng), ground.site, ON)
    compasses = issue(setting, rng)
    people = enrol(setting, compasses, rng)
    stations, lines = (
        bias_stations(setting, ground.site, answers, rng),
        bend_lines(setting, answers, rng),
    )
    weights = rng.dirichlet([60 * share for _, share in SLIPS.values()])
    local = {
        (code, number): float(rng.uniform(-0.5, 0.5)) for code in stations for number in compasses
    }  # it varies a little with the needle
    shares, going_round = dict(zip(SLIPS, weights, strict=True)), visits(people, answers, rng)
    held = Held(
        setting, ground.site, ON, answers, [], [], [], [], [], people, stations, lines, compasses
    )
    for minute, name, answer in going_round:
        person = people[name]
        sigma_deg = person.scatter_deg * (1 + 0.6 * minute / going_round[-1][0] * setting.is_tiring)
        biases = {
            code: one.at(minute) + local[code, person.compass] for code, one in stations.items()
        }
        scene = Scene(
            ground,
            answer,
            person,
            compasses[person.compass],
            biases,
            lines[answer.task],
            sigma_deg * scatter(setting, rng),
            dict(zip(LUCK, rng.random(len(LUCK)).tolist(), strict=True)),
        )
        faults = happen(scene, shares, rng)
        text, truth = act(scene, faults)
        shift_deg = (
            scene.shift(NEEDLE_FAULTS, scene.place(faults)) + scene.line_deg
            if kind_of(answer.kind).reads_needle
            else 0.0
        )
        held.readings.append(
            Reading(
                name, answer.task, seen_as(answer, text), person.compass, scene.compass.instrument
            )
        )
        held.minutes.append(minute)
        held.texts.append(text)
        held.truths.append(truth)
        held.seen_by.append(Seen(sigma_deg, scene.scatter_deg, shift_deg))
    return held

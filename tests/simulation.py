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

from exercises.domain.earth.angles import difference, to_mils, wrap
from exercises.domain.tasks import key
from exercises.domain.tasks.answer import Answer
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.reading import Reading
from exercises.domain.tasks.site import Site
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
# the edge is laid on paper with about half the scatter of a sighting; common practice, no source
LAID = 0.5
SWAP = {"true": "grid", "grid": "true", "magnetic": "magnetic"}
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


def sight(scene, faults):
    """Stand, aim, box the needle, read the dial, reckon, write."""
    place, target = scene.place(faults), scene.answer.target
    if "other_target" in faults and scene.answer.others:
        near = sorted(
            scene.answer.others,
            key=lambda other: abs(difference(other.bearing_deg, scene.answer.bearings_deg["true"])),
        )
        target = near[int(scene.luck["which"] ** 1.5 * len(near))].code  # the nearer the likelier
    shown, step = (
        scene.bearing(faults, place, target) + scene.needle(faults, place) + scene.scatter_deg,
        scene.person.step_deg,
    )
    dial = misread(
        scene, faults, math.floor(step * math.floor(shown / step + 0.5) + 0.5)
    )  # half ticks come out as whole degrees
    number = wrap(dial + added(faults, scene.answer.norths, scene.dial_north(), scene.answer.north))
    return write(
        scene,
        faults,
        wrap(-number) if "mirrored" in faults and scene.luck["variant"] >= 0.7 else number,
    )


def follow(scene, faults):
    """The same the other way round: hear, reckon back, set the dial, box the needle by turning,
    name what lies there.
    """
    choices = scene.answer.form.choices(scene.answer)
    if "unexplained" in faults:
        return scene.pick(choices, "anything")
    heard = scene.answer.given_deg
    heard = wrap(-heard) if "mirrored" in faults and scene.luck["variant"] >= 0.7 else heard
    heard = int(write(scene, faults, heard))
    heard = (
        heard if heard <= 360 else scene.answer.given_deg
    )  # no dial has such a number: one asks again
    dial = heard - added(faults, scene.answer.norths, scene.dial_north(), scene.answer.north)
    dial = misread(scene, faults, dial) + scene.person.step_deg * (scene.luck["setting"] - 0.5)
    place = scene.place(faults)
    faced = dial - scene.needle(faults, place) + scene.scatter_deg
    visible = [code for code in choices if code in scene.ground.site.targets_from(place)]
    by_gap = sorted(
        visible, key=lambda code: abs(difference(scene.bearing(faults, place, code), faced))
    )
    return by_gap[1 if "other_target" in faults and len(by_gap) > 1 else 0]


def convert(scene, faults):
    """Arithmetic alone, now and then a degree off."""
    answer = scene.answer
    number = answer.given_deg + added(faults, answer.norths, answer.given_north, answer.north)
    number += {0: -1, 1: 1}.get(int(scene.luck["carry"] * 20), 0)
    return write(scene, faults, wrap(number + ten_off(scene, faults)))


def back(scene, faults):
    """Half a circle added or taken away, now and then a degree off."""
    given = int(scene.answer.given_deg)
    number = given if "reversed" in faults else given + 180
    if "mirrored" in faults:
        number = -number if scene.luck["variant"] < 0.5 else 180 - number
    number += {0: -1, 1: 1}.get(int(scene.luck["carry"] * 20), 0)
    return write(scene, faults, wrap(number + ten_off(scene, faults)))


def map_bearing(scene, faults):
    """Lay the edge from point to point, turn the housing along the north lines, read the dial."""
    answer, norths, right_deg = scene.answer, scene.answer.norths, scene.answer.bearings_deg["true"]
    if "other_target" in faults and answer.others:
        right_deg = min(
            answer.others,
            key=lambda other: abs(difference(other.bearing_deg, answer.bearings_deg["true"])),
        ).bearing_deg
    if "other_station" in faults and answer.stations:
        right_deg = scene.pick(answer.stations, "which").bearing_deg
    shown = (
        right_deg
        + norths.correction("true", answer.north)
        + LAID * scene.scatter_deg
        + 180.0 * ("reversed" in faults)
    )
    step = scene.person.step_deg
    dial = misread(scene, faults, math.floor(step * math.floor(shown / step + 0.5) + 0.5))
    needless = norths.correction(answer.north, "magnetic")
    turned = {
        "declination_ignored": needless,
        "declination_twice": -needless,
        "convergence_ignored": norths.correction(answer.north, SWAP[answer.north]),
    }
    return write(scene, faults, wrap(dial + round(sum(turned.get(code, 0.0) for code in faults))))


ACTS = {"sight": sight, "follow": follow, "convert": convert, "back": back, "map": map_bearing}


def misread(scene, faults, dial):
    """What is made of a number on the dial by faults of reading, or of setting it."""
    if "mirrored" in faults and scene.luck["variant"] < 0.7:
        return -dial
    if "counted_back" in faults:
        label = scene.compass.label_deg
        nearest, lower = label * round(dial / label), label * math.floor(dial / label)
        other = lower if nearest > lower else lower + label
        return 2 * (nearest if scene.luck["label"] < 0.8 else other) - dial
    return (
        dial
        + ten_off(scene, faults)
        + (scene.pick((90, -90), "sign") if "quarter_turn" in faults else 0)
    )


def ten_off(scene, faults):
    """One or two printed numbers, or a carry, or nothing."""
    return (
        scene.pick((1, -1), "sign") * (10 if scene.luck["size"] < 0.7 else 20)
        if "ten_off" in faults
        else 0
    )


def added(faults, norths, given, north):
    """What is added to a number in one north to have it in another, whole degrees, by right or by a
    fault of arithmetic.
    """
    right = round(norths.correction(given, north))
    if "convergence_ignored" in faults:
        return round(
            norths.correction(SWAP[given], north)
            if north == "magnetic"
            else norths.correction(given, SWAP[north])
        )
    if given == north == "magnetic":
        return round(norths.declination_deg) if "declination_ignored" in faults else 0
    if "magnetic" not in (given, north):
        return right + (round(norths.declination_deg) if "declination_twice" in faults else 0)
    wrong = {
        "declination_ignored": 0,
        "declination_wrong_way": -right,
        "declination_twice": 2 * right,
    }
    return next((wrong[code] for code in faults if code in wrong), right)


def write(scene, faults, number):
    """The number on paper: three digits, but for slips of the pen."""
    number = int(wrap(round(number)))
    if "unexplained" in faults:
        return f"{int(scene.luck['anything'] * 360):03d}"
    text = f"{number:03d}"
    if "digits_swapped" in faults:
        first = int(scene.luck["digit"] * 2)
        swapped = text[:first] + text[first + 1] + text[first] + text[first + 2 :]
        return swapped if int(swapped) < 360 or scene.luck["notice"] < 0.3 else text
    if "digit_dropped" in faults:
        lost = int(scene.luck["digit"] * 3)
        return text[:lost] + text[lost + 1 :]
    if "hundred_off" in faults:
        return (
            f"{scene.pick([n for n in (number - 100, number + 100) if 0 <= n < 360], 'digit'):03d}"
        )
    return f"{round(to_mils(number)):03d}" if "mils" in faults else text


def seen_as(answer, text):
    """What is on paper, as the kind of task takes it."""
    return answer.form.parse_on_paper(answer, text)


def act(scene, faults):
    """What is written with some faults, and those of them without any of which something else would
    have been.
    """
    perform, left = ACTS[scene.answer.kind], list(faults)
    text = perform(scene, faults)
    for code in reversed(faults):
        fewer = [other for other in left if other != code]
        if seen_as(scene.answer, perform(scene, fewer)) == seen_as(scene.answer, text):
            left = fewer
    return text, "+".join(sorted(left)) or "ok"


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

"""What a simulated class is made of: its setting, compasses, people. simulated_ground.py has the
ground, simulation.py acts it out.

Rates, spreads and sizes: common practice, no source, unless said.
"""

import datetime
import math
from dataclasses import dataclass, replace

import numpy as np

from exercises.domain.tasks.site import Compass

ON = datetime.date(2026, 10, 3)
# declination in degrees on that day, roughly (WMM2025), to a latitude and longitude; every site
# there is invented
PLACES = {
    -18: (-25.8, 22.3),
    -8: (41.2, -81.7),
    -3: (45.2, -89.7),
    1: (44.2, -0.7),
    4: (48.2, 11.3),
    11: (45.2, -111.7),
    19: (-35.4, 174.0),
    24: (-42.8, 172.3),
}
HABITS = {
    "declination_ignored": 0.40,
    "declination_wrong_way": 0.20,
    "declination_twice": 0.12,
    "reversed": 0.20,
    "convergence_ignored": 0.08,
}


@dataclass(frozen=True)
class Setting:
    """What a class is like. Shares and rates in 0..1; the offsets, biases and slips themselves are
    drawn in `hold`.
    """

    people: int = 24
    tasks: int = 12
    declination_deg_about: float = 11.0
    norths: tuple = ("magnetic", "true", "true", "grid")
    follow_share: float = 0.15
    convert_share: float = 0.1
    paper_share: float = 0.0  # of bearings turned round, and as many measured on the map
    accuracies_m: tuple = (0.5, 3.0)
    habit_share: float = 0.3
    slip_rate: float = 0.1
    fault_stations: int = 1
    fault_begins: bool = False
    wrong_lines: int = 0
    bad_compasses: int = 1
    reversed_compasses: int = 0
    shared_compasses: bool = True
    graduations: tuple = (1.0, 2.0, 2.0, 2.0, 5.0)
    set_share: float = 0.15
    interpolating_share: float = 0.3
    is_tiring: bool = False
    tails: str = "student"  # or "mixture": one reading in twenty with triple scatter; see `scatter`
    # What the worlds of worlds.py draw; as it stands here, none of it shows.
    freedom: float = 5.0  # degrees of freedom of the tails "t"
    scatter_deg: float = 2.5  # the median person's
    scatter_log_sd: float = 0.4
    scatter_limits_deg: tuple = (1.0, 6.0)
    own_sd_deg: float = 0.8
    own_far_share: float = 0.04  # of people, whose own offset is a large one
    own_far_deg: tuple = (3.0, 7.0)
    followed: tuple = (0.85, 1.0)  # how often a person follows a habit
    two_habits_share: float = 0.0  # of people with a habit of declination, who reverse as well
    class_rate_shape: float | None = 6.0  # gamma; None where `slip_rate` is the class's own
    slip_shape: float = 2.0  # gamma, from person to person
    slip_shares: tuple = ()  # (code, share) of the slips, where they are not the usual ones
    tired_more: float = 0.6  # what scatter grows by to the end, in parts of itself
    tires_slips: bool = False  # the slips grow alike
    people_to_a_compass: int = 0  # 0: two or three, or one each where they are not shared
    compass_sd_deg: float = 0.7
    bad_offset_deg: tuple = (4.0, 12.0)
    passed_every: int = 0  # readings after which a person takes the next compass; 0: never
    copier_share: float = 0.0  # of people
    copied_share: tuple = (0.2, 0.6)  # of a copier's answers
    fives_share: float = 0.0  # of people, who write numbers of the dial in fives
    poor_sight_rate: float = 0.0  # of needle readings
    reversed_run_rate: float = 0.0  # of needle readings, reversed several in a row
    mils_figure_rate: float = 0.0  # of sighted bearings: one figure of a number in mils wrong
    likes_digits: bool = False  # even numbers, and those in 0 and 8
    ground_sd_deg: float = 0.6  # of sound stations
    local_deg: float = 0.5  # most by which a station acts unlike on two needles
    bent_deg: tuple = (4.0, 25.0)
    change_share: float = 0.0  # of faulty stations, whose fault begins or ends in the class
    moved_targets: int = 0


@dataclass(frozen=True)
class TrueCompass:
    """A numbered compass; `label_deg` lies between two printed numbers, `offset_deg` is what it
    adds to readings.
    """

    offset_deg: float
    is_reversed: bool
    instrument: Compass
    label_deg: int


@dataclass(frozen=True)
class TruePerson:
    """A person; `own_deg` is their own offset, `offset_deg` that and their first compass's
    together, `habit` a code, two joined by +, or "none", `step_deg` what they round to.
    `copied_share` is the share of their answers that are somebody else's.
    """

    scatter_deg: float
    habit: str
    offset_deg: float
    graduation_deg: float
    compass: str
    consistency: float
    slip_rate: float
    step_deg: float
    own_deg: float
    writes_fives: bool = False
    copied_share: float = 0.0

    @property
    def habits(self):
        """The single codes of the habit."""
        return () if self.habit == "none" else tuple(self.habit.split("+"))

    def holding(self, number, compass):
        """This person with another compass in hand."""
        interpolates = self.step_deg < self.graduation_deg
        graduation_deg = compass.instrument.graduation_deg
        return replace(
            self,
            offset_deg=self.own_deg + compass.offset_deg,
            graduation_deg=graduation_deg,
            compass=number,
            step_deg=graduation_deg / 2 if interpolates else graduation_deg,
        )


def size(rng, least_deg, most_deg):
    """A fault's size with either sign, degrees."""
    return float(rng.uniform(least_deg, most_deg) * rng.choice([-1, 1]))


def issue(setting, rng):
    """The numbered compasses, some of them bad."""
    if setting.people_to_a_compass:
        count = math.ceil(setting.people / setting.people_to_a_compass)
    elif setting.shared_compasses:
        count = math.ceil(setting.people / rng.integers(2, 4))
    else:
        count = setting.people
    order = [int(n) for n in rng.permutation(count)]
    bad, turned = (
        order[: setting.bad_compasses],
        order[setting.bad_compasses :][: setting.reversed_compasses],
    )
    return {
        str(n + 1): TrueCompass(
            size(rng, *setting.bad_offset_deg)
            if n in bad
            else float(rng.normal(0, setting.compass_sd_deg)),
            n in turned,
            Compass(float(rng.choice(setting.graduations)), bool(rng.random() < setting.set_share)),
            int(rng.choice([10, 20])),
        )
        for n in range(count)
    }


def enrol(setting, compasses, rng):
    """The people, each with a compass by turns."""
    people, numbers, class_rate = {}, list(compasses), setting.slip_rate
    if setting.class_rate_shape:
        class_rate *= rng.gamma(setting.class_rate_shape, 1 / setting.class_rate_shape)
    for n in range(setting.people):
        number = numbers[n % len(numbers)]
        step_deg = graduation_deg = compasses[number].instrument.graduation_deg
        if rng.random() < setting.interpolating_share:
            step_deg /= 2
        own_deg = (
            size(rng, *setting.own_far_deg)
            if rng.random() < setting.own_far_share
            else float(rng.normal(0, setting.own_sd_deg))
        )  # eye or plate not along the line: trade 2
        habit = some_habit(setting, rng)
        scatter_deg = rng.lognormal(math.log(setting.scatter_deg), setting.scatter_log_sd)
        people[f"person {n + 1}"] = TruePerson(
            float(np.clip(scatter_deg, *setting.scatter_limits_deg)),
            habit,
            float(compasses[number].offset_deg + own_deg),
            graduation_deg,
            number,
            float(rng.uniform(*setting.followed)),
            float(min(0.6, class_rate * rng.gamma(setting.slip_shape, 1 / setting.slip_shape))),
            step_deg,
            own_deg,
            bool(setting.fives_share and rng.random() < setting.fives_share),
            float(rng.uniform(*setting.copied_share))
            if setting.copier_share and rng.random() < setting.copier_share
            else 0.0,
        )
    return people


def some_habit(setting, rng):
    """The habit of a person, or none."""
    if rng.random() >= setting.habit_share:
        return "none"
    habit = str(rng.choice(list(HABITS), p=list(HABITS.values())))
    is_both = (
        setting.two_habits_share
        and habit.startswith("declination")
        and rng.random() < setting.two_habits_share
    )
    return f"{habit}+reversed" if is_both else habit


def settings(rng, number):
    """Settings of classes as unlike each other as they come; one in five is tiny."""
    mixes = (
        ("magnetic",),
        ("true",),
        ("magnetic", "true"),
        ("magnetic", "true", "true", "grid"),
        ("grid", "magnetic"),
        ("grid",),
    )
    for _ in range(number):
        people = int(rng.integers(1, 7) if rng.random() < 0.2 else rng.integers(7, 61))
        yield Setting(
            people=people,
            tasks=int(rng.integers(6, 21)),
            declination_deg_about=int(rng.choice(list(PLACES))),
            norths=mixes[rng.integers(len(mixes))],
            follow_share=float(rng.choice([0, 0.15, 0.3])),
            convert_share=float(rng.choice([0, 0.1, 0.2])),
            accuracies_m=((0.1, 0.5), (0.5, 3.0), (2.0, 5.0))[rng.integers(3)],
            habit_share=float(rng.uniform(0.05, 0.5)),
            slip_rate=float(rng.choice([0.03, 0.07, 0.12, 0.2])),
            fault_stations=int(rng.choice([0, 0, 1, 2])),
            fault_begins=bool(rng.random() < 0.3),
            wrong_lines=int(rng.random() < 0.25),
            bad_compasses=int(rng.choice([0, 0, 1, 2])),
            reversed_compasses=int(rng.random() < 0.25),
            shared_compasses=bool(rng.random() < 0.7),
            graduations=((2.0,), (1.0, 2.0, 2.0, 5.0), (5.0,), (2.0, 5.0))[rng.integers(4)],
            set_share=float(rng.choice([0, 0, 0.2, 1])),
            is_tiring=bool(rng.random() < 0.3),
            tails=("student", "mixture")[rng.integers(2)],
        )

"""What a simulated class is made of: invented ground and the truth of it, tasks, compasses, people.
simulation.py acts it out.

Rates, spreads and sizes: common practice, no source, unless said.
"""

import datetime
import math
from dataclasses import dataclass, replace

import numpy as np

from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import difference
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.norths import NORTHS
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.site import Compass, Point, Site, Task

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
    tails: str = "student"  # or "mixture": one reading in twenty with triple scatter


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
    """A person; `offset_deg` is their own and their compass's together, `habit` a code or "none",
    `step_deg` what they round to.
    """

    scatter_deg: float
    habit: str
    offset_deg: float
    graduation_deg: float
    compass: str
    consistency: float
    slip_rate: float
    step_deg: float


@dataclass(frozen=True)
class TrueStation:
    """What a station adds to every reading, from a minute on, or always when that is None."""

    bias_deg: float
    begins_min: float | None = None

    def at(self, minute):
        """The bias at a time."""
        return self.bias_deg if self.begins_min is None or minute >= self.begins_min else 0.0


@dataclass(frozen=True)
class Ground:
    """The ground as it is: where the points truly lie, and how far the true declination is from the
    model's.
    """

    site: Site
    places: dict
    declination_error_deg: float

    def bearing(self, station, target):
        """The true bearing between the true places."""
        return geodesy.sight_line(self.places[station], self.places[target]).bearing_deg


def lay_out(setting, rng):
    """Invented ground: the surveyed site, and the truth of it. Every point has its own survey
    error, of its accuracy.
    """
    latitude, longitude = PLACES[
        min(PLACES, key=lambda about: abs(about - setting.declination_deg_about))
    ]
    centre = Position(
        latitude + rng.uniform(-0.2, 0.2),
        longitude + rng.uniform(-0.2, 0.2),
        float(rng.integers(20, 900)),
    )
    stations = {
        chr(65 + n): (rng.uniform(0, 360), rng.uniform(15, 140)) for n in range(rng.integers(4, 11))
    }
    targets = {
        f"T{n + 1}": (rng.uniform(0, 360), rng.uniform(210, 600))
        for n in range(rng.integers(5, 13))
    }
    places, points = {}, {}
    for code, (bearing_deg, distance_m) in {**stations, **targets}.items():
        accuracy_m = round(float(rng.uniform(*setting.accuracies_m)), 1)
        places[code] = geodesy.destination(centre, bearing_deg, distance_m)
        east_m, north_m = rng.normal(0.0, accuracy_m, 2)
        surveyed = geodesy.destination(
            geodesy.destination(places[code], 90.0, east_m), 0.0, north_m
        )
        points[code] = Point(
            code, f"point {code}", surveyed, accuracy_m, f"peg {code}" if code in stations else ""
        )
    visible = {
        code: tuple(target for target in targets if rng.random() < 0.85) for code in stations
    }
    visible = {code: seen if len(seen) >= 3 else tuple(targets) for code, seen in visible.items()}
    return Ground(Site(points, visible), places, rng.normal(0.0, 0.35))


def plan(setting, site, rng):
    """Tasks on a site. The instructor gives bearings to follow where no other target lies close
    by.
    """

    def gap(pair):
        own = site.sight_line(*pair).bearing_deg
        return min(
            abs(difference(site.sight_line(pair[0], other).bearing_deg, own))
            for other in site.visible[pair[0]]
            if other != pair[1]
        )

    lines = [(station, target) for station, seen in site.visible.items() for target in seen]
    lines = [lines[index] for index in rng.permutation(len(lines))]
    lines.sort(key=lambda line: gap(line) < 12.0)  # stable: clear lines first, else as shuffled
    tasks = []
    for number in range(setting.tasks):
        shares = {
            "follow": setting.follow_share,
            "convert": setting.convert_share,
            "back": setting.paper_share / 2,
            "map": setting.paper_share / 2,
        }
        kind = rng.choice([*shares, "sight"], p=[*shares.values(), 1 - sum(shares.values())])
        station, target = lines[number % len(lines)]
        north = str(rng.choice(setting.norths))
        north = "grid" if kind == "map" and north == "magnetic" else north
        task = Task(str(number + 1), str(kind), station, target, north, Band(5, 10))
        if kind == "convert":
            other = [given for given in NORTHS if given != north and "magnetic" in (given, north)]
            task = replace(
                task,
                target="",
                given_deg=float(rng.integers(0, 360)),
                given_north=str(rng.choice(other)),
            )
        tasks.append(task)
    return sorted(tasks, key=lambda task: task.station)


def size(rng, least_deg, most_deg):
    """A fault's size with either sign, degrees."""
    return float(rng.uniform(least_deg, most_deg) * rng.choice([-1, 1]))


def issue(setting, rng):
    """The numbered compasses, some of them bad."""
    count = (
        math.ceil(setting.people / rng.integers(2, 4))
        if setting.shared_compasses
        else setting.people
    )
    order = [int(n) for n in rng.permutation(count)]
    bad, turned = (
        order[: setting.bad_compasses],
        order[setting.bad_compasses :][: setting.reversed_compasses],
    )
    return {
        str(n + 1): TrueCompass(
            size(rng, 4, 12) if n in bad else float(rng.normal(0, 0.7)),
            n in turned,
            Compass(float(rng.choice(setting.graduations)), bool(rng.random() < setting.set_share)),
            int(rng.choice([10, 20])),
        )
        for n in range(count)
    }


def enrol(setting, compasses, rng):
    """The people, each with a compass by turns."""
    people, numbers, class_rate = {}, list(compasses), setting.slip_rate * rng.gamma(6, 1 / 6)
    for n in range(setting.people):
        number = numbers[n % len(numbers)]
        step_deg = graduation_deg = compasses[number].instrument.graduation_deg
        if rng.random() < setting.interpolating_share:
            step_deg /= 2
        own_deg = (
            size(rng, 3, 7) if rng.random() < 0.04 else rng.normal(0, 0.8)
        )  # eye or plate not along the line: trade 2
        habit = (
            str(rng.choice(list(HABITS), p=list(HABITS.values())))
            if rng.random() < setting.habit_share
            else "none"
        )
        people[f"person {n + 1}"] = TruePerson(
            float(np.clip(rng.lognormal(math.log(2.5), 0.4), 1, 6)),
            habit,
            float(compasses[number].offset_deg + own_deg),
            graduation_deg,
            number,
            float(rng.uniform(0.85, 1)),
            float(min(0.6, class_rate * rng.gamma(2, 1 / 2))),
            step_deg,
        )
    return people


def bias_stations(setting, site, answers, rng):
    """What each station does to a needle: next to nothing, or a fault, perhaps of something that
    arrives later.
    """
    codes = [code for code, point in site.points.items() if point.is_station]
    used = sorted({answer.station for answer in answers if kind_of(answer.kind).reads_needle})
    faulty = {str(code) for code in rng.permutation(used)[: setting.fault_stations]}
    begins = float(rng.uniform(0.25, 0.6) * setting.tasks * 4) if setting.fault_begins else None
    return {
        code: TrueStation(size(rng, 4, 25), begins)
        if code in faulty
        else TrueStation(float(np.clip(rng.normal(0, 0.6), -2, 2)))
        for code in codes
    }


def bend_lines(setting, answers, rng):
    """What is wrong with the key of each sight line, as it shows in readings, beyond the survey's
    error.
    """
    tasks = [answer.task for answer in answers if kind_of(answer.kind).reads_needle]
    wrong = {str(task) for task in rng.permutation(tasks)[: setting.wrong_lines]}
    return {answer.task: size(rng, 5, 30) if answer.task in wrong else 0.0 for answer in answers}


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

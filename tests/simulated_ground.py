"""The ground of a simulated class and the truth of it, its tasks, and what bends the needle there.

Rates, spreads and sizes: common practice, no source, unless said.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from exercises.domain.earth import geodesy
from exercises.domain.earth.angles import difference
from exercises.domain.earth.geodesy import Position
from exercises.domain.earth.norths import NORTHS
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.site import Point, Site, Task
from tests.simulated_class import PLACES, size


@dataclass(frozen=True)
class TrueStation:
    """What a station adds to every reading, from a minute on, or to a minute, or always when both
    are None.
    """

    bias_deg: float
    begins_min: float | None = None
    ends_min: float | None = None

    def at(self, minute):
        """The bias at a time."""
        has_begun = self.begins_min is None or minute >= self.begins_min
        has_ended = self.ends_min is not None and minute >= self.ends_min
        return self.bias_deg if has_begun and not has_ended else 0.0


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


def bias_stations(setting, site, answers, rng):
    """What each station does to a needle: next to nothing, or a fault, perhaps of something that
    arrives later.
    """
    codes = [code for code, point in site.points.items() if point.is_station]
    used = sorted({answer.station for answer in answers if kind_of(answer.kind).reads_needle})
    faulty = {str(code) for code in rng.permutation(used)[: setting.fault_stations]}
    begins = float(rng.uniform(0.25, 0.6) * setting.tasks * 4) if setting.fault_begins else None
    stations = {
        code: TrueStation(size(rng, *setting.bent_deg), begins)
        if code in faulty
        else TrueStation(float(np.clip(rng.normal(0, setting.ground_sd_deg), -2, 2)))
        for code in codes
    }
    for code in sorted(faulty) if setting.change_share else ():
        if rng.random() < setting.change_share:
            minute = float(rng.uniform(0.25, 0.75) * setting.tasks * 4)
            when = ("begins_min", "ends_min")[rng.integers(2)]
            stations[code] = replace(stations[code], **{when: minute})
    return stations


def bend_lines(setting, answers, ground, rng):
    """What is wrong with the key of each sight line, as it shows in readings, beyond the survey's
    error.
    """
    tasks = [answer.task for answer in answers if kind_of(answer.kind).reads_needle]
    wrong = {str(task) for task in rng.permutation(tasks)[: setting.wrong_lines]}
    lines = {answer.task: size(rng, 5, 30) if answer.task in wrong else 0.0 for answer in answers}
    return lines if not setting.moved_targets else moved(setting, answers, ground, lines, rng)


def moved(setting, answers, ground, lines, rng):
    """The lines, with what is added by targets that stand elsewhere than they were surveyed; each
    station sees them moved by another angle.
    """
    codes = sorted({answer.target for answer in answers if answer.target})
    for code in rng.permutation(codes)[: setting.moved_targets].tolist():
        distance_m = 400.0 * math.tan(math.radians(rng.uniform(5, 15)))
        stands = geodesy.destination(ground.places[code], rng.uniform(0, 360), distance_m)
        for answer in answers:
            if answer.target == code and kind_of(answer.kind).reads_needle:
                sight = geodesy.sight_line(ground.places[answer.station], stands)
                lines[answer.task] += difference(
                    sight.bearing_deg, ground.bearing(answer.station, code)
                )
    return lines

"""Invented ground for answers that are places: stations, targets, and a task of each kind."""

import datetime

from exercises.domain.earth import geodesy
from exercises.domain.earth.geodesy import Position
from exercises.domain.surveying.traverse import parse_legs
from exercises.domain.tasks import key
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.site import Point, Site, Task

DAY, MIDDLE = datetime.date(2026, 10, 3), Position(-45.13, 170.10)
SPOTS = {
    "A": (0, 0),
    "B": (140, 90),
    "T1": (60, 400),
    "T2": (420, 60),
    "T3": (-230, 250),
    "T4": (-60, -330),
}


def site(**more):
    """Invented ground: stations A and B, targets T1 to T4, metres east and north of the middle."""
    return Site(
        {
            code: Point(
                code,
                f"the {code} thing",
                geodesy.moved(MIDDLE, *place),
                0.5,
                "peg" if code in "AB" else "",
            )
            for code, place in (SPOTS | more).items()
        },
        grid_epsg=2193,
    )


def task(kind="fix", station="A", target="T1", north="grid", label="1", **more):
    return Task(label, kind, station, target, north, Band(5, 10), **more)


RESECTION = task(more=("T2", "T3"))
INTERSECTION = task("intersect", more=("B",), target="T2")
WALK = task("walk", target="T2", north="magnetic", legs=parse_legs("020 180; 110 200"))


def answer_of(*tasks):
    return key.compute(tasks, site(), DAY)

"""Words of places: marks and things on the ground, positions on a map."""

from ...domain.words import say
from ...drawing.schematics import grid, intersection, legs, paces, resection, sight_line
from .term import ARMY, GRIDS, PRACTICE, Term, by_code

PLACES = by_code(
    Term(
        "station",
        say("Station"),
        say("A place to stand and to read a bearing; each has a letter."),
        PRACTICE,
        sight_line,
        ("mark", "target"),
    ),
    Term(
        "mark",
        say("Mark"),
        say("The exact spot of a station, such as a peg or a painted cross; you stand over it."),
        PRACTICE,
        None,
        ("station",),
    ),
    Term(
        "target",
        say("Target"),
        say("The thing that you aim at."),
        PRACTICE,
        sight_line,
        ("station", "sight_line"),
    ),
    Term(
        "resection",
        say("Resection"),
        say(
            "Find where you stand: take bearings to known things, and draw them back on the map "
            "until they meet."
        ),
        ARMY,
        resection,
        ("intersection", "back_bearing"),
    ),
    Term(
        "intersection",
        say("Intersection"),
        say(
            "Find where a thing is: take its bearing from two known marks, and draw both on the "
            "map until they meet."
        ),
        ARMY,
        intersection,
        ("resection",),
    ),
    Term(
        "leg",
        say("Leg"),
        say("One straight piece of a walk: a bearing, and how far to go along it."),
        PRACTICE,
        legs,
        ("pace", "traverse"),
    ),
    Term(
        "pace",
        say("Pace"),
        say("Two steps: you count each time the same foot comes down, so it is a double pace."),
        PRACTICE,
        paces,
        ("leg",),
    ),
    Term(
        "grid_reference",
        say("Grid reference"),
        say(
            "The figures of a place on a map's grid: the first half says how far east, the second "
            "half how far north."
        ),
        ARMY,
        grid,
        ("utm", "mgrs"),
    ),
    Term(
        "utm",
        say("UTM"),
        say(
            "A grid in metres over nearly all of the Earth, in 60 zones: a zone, metres east, "
            "metres north."
        ),
        GRIDS,
        grid,
        ("mgrs", "grid_north"),
    ),
    Term(
        "mgrs",
        say("MGRS"),
        say("A short way to write a place of that grid: zone, band, two letters, then figures."),
        GRIDS,
        None,
        ("utm", "grid_reference"),
    ),
    Term(
        "datum",
        say("Datum"),
        say(
            "The model of the Earth that coordinates belong to: read with another one, they lie up "
            "to hundreds of metres away."
        ),
        ARMY,
        None,
        ("utm",),
    ),
)

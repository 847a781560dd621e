"""Words of directions: bearings, norths, and the angles between them."""

from ...domain.words import say
from ...drawing.schematics import back_bearing, bearing, declination, sight_line, three_norths
from .term import ARMY, GRIDS, PRACTICE, WMM, Term, by_code

DIRECTIONS = by_code(
    Term(
        "bearing",
        say("Bearing, or azimuth"),
        say("A direction as a number from 0 to 360, counted clockwise from north."),
        ARMY,
        bearing,
        ("back_bearing", "true_north", "magnetic_north", "grid_north"),
    ),
    Term(
        "back_bearing",
        say("Back bearing"),
        say("The bearing of the way back: 180 more, or 180 less where more would pass 360."),
        ARMY,
        back_bearing,
        ("bearing", "fore_and_back"),
    ),
    Term(
        "sight_line",
        say("Sight line"),
        say("The straight line from where you stand to the thing that you aim at."),
        PRACTICE,
        sight_line,
        ("station", "target"),
    ),
    Term(
        "magnetic_north",
        say("Magnetic north"),
        say("Where the needle of a compass points when nothing near pulls it aside."),
        ARMY,
        declination,
        ("needle", "declination"),
    ),
    Term(
        "true_north",
        say("True north"),
        say("The direction to the North Pole of the Earth."),
        ARMY,
        declination,
        ("declination", "convergence"),
    ),
    Term(
        "grid_north",
        say("Grid north"),
        say("Up the sheet, along the lines of a map's grid."),
        ARMY,
        three_norths,
        ("convergence", "utm"),
    ),
    Term(
        "declination",
        say("Declination"),
        say(
            "The angle between true north and magnetic north; it differs from place to place, and "
            "changes with the years."
        ),
        WMM,
        declination,
        ("true_north", "magnetic_north", "set_compass"),
    ),
    Term(
        "convergence",
        say("Convergence"),
        say(
            "The angle between true north and grid north; it is mostly smaller than a compass can "
            "show."
        ),
        GRIDS,
        three_norths,
        ("true_north", "grid_north"),
    ),
)

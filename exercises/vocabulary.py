"""What kinds of task, norths, hazards and the like are called: their codes with names, in English,
which the screens say in the reader's language.

The domain knows codes alone. A test holds that each of its codes has a name here.
"""

from .domain.running import roles
from .domain.running.kit import Event
from .domain.tasks import north_angle, telling
from .domain.words import say

NORTHS = {"magnetic": say("magnetic"), "true": say("true"), "grid": say("grid")}
KINDS = {
    "sight": say("Sight a target"),
    "follow": say("Follow a bearing"),
    "convert": say("Convert a bearing"),
    "back": say("Turn a bearing round"),
    "map": say("Measure on the map"),
    "face": say("Face what you measured"),
    "fix": say("Find where you stand"),
    "intersect": say("Find where something is"),
    "walk": say("Walk bearings and paces"),
}
# In which compasses are marked, by `domain.earth.angle_units`: as it is said beside a number, and
# as one finds it on a dial.
UNITS = {
    "deg": say("degrees"),
    "mil6400": say("mils"),
    "mil6300": say("mils of 6300"),
    "mil6000": say("mils of 6000"),
}
DIALS = {
    "deg": say("degrees, 0 to 360"),
    "mil6400": say("mils, 0 to 6400"),
    "mil6300": say("mils, 0 to 6300 (streck)"),
    "mil6000": say("mils, 0 to 6000"),
}
LENGTHS = {  # in which lengths are told, by `domain.earth.length_units`
    "m": say("metres"),
    "ft": say("feet"),
    "pace": say("my own double paces"),
}
PRESETS = {
    "paper": say("Paper and protractor"),
    "sighted": say("Sighted with good technique"),
    "usual": say("Usual good"),
    "beginner": say("Beginner or unsighted"),
}
POLICIES = {
    telling.AT_ONCE: say("at once, after each reading"),
    telling.SECOND_TRY: say("after a second try, with a hint before it"),
    telling.RELEASED: say("at the debrief, when I release it"),
}
JOINING = {
    "open": say("Anybody with the code may join"),
    "listed": say("Only names on the list may join"),
    "shut": say("Nobody else may join"),
}
ANGLE_WAYS = {  # of the declination, or of the angle between grid and magnetic north
    north_angle.TOLD: say("told with the task"),
    north_angle.ON_MAP: say("to be found on the map"),
    north_angle.UNSAID: say("left out"),
}
ROLES = {
    roles.OWNER: say("owner"),
    roles.CO_INSTRUCTOR: say("co-instructor"),
    roles.HELPER: say("helper"),
    roles.OBSERVER: say("observer"),
}
KIT_ENTRIES = {
    Event.CHECKED: say("checked: sound"),
    Event.OFF: say("it is off"),
    Event.REVERSED: say("its needle points south"),
    Event.LOOKED: say("looked over: sound"),
    Event.BUBBLE: say("a bubble"),
    Event.NEEDLE: say("its needle sticks or tilts"),
    Event.DAMAGED: say("damaged"),
    Event.REPAIRED: say("repaired"),
    Event.WITHDRAWN: say("withdrawn"),
    Event.BACK: say("back in use"),
}
HAZARDS = {
    "power_line": say("High-tension power line"),
    "vehicles": say("Vehicles, car park"),
    "steel": say("Large steel: container, shed, bridge, gate"),
    "fence": say("Wire fence, telephone wire"),
    "iron": say("Small iron: bin, pipe, manhole cover"),
    "road": say("Road"),
    "water": say("Water"),
    "drop": say("Drop, cliff, steep bank"),
    "boundary": say("Boundary that nobody crosses"),
}
NOTATIONS = {
    "decimal": say("decimal degrees"),
    "minutes": say("degrees and minutes"),
    "seconds": say("degrees, minutes, seconds"),
    "utm": say("UTM"),
    "mgrs": say("MGRS"),
    "grid": say("map grid"),
    "geo": say("a phone's location link"),
}
TERMS = {  # of an answer's budget
    "survey": say("survey"),
    "standing": say("standing"),
    "declination": say("declination"),
    "compass": say("compass"),
    "scale": say("scale"),
    "rounding": say("rounding"),
    "correction": say("correction"),
    "protractor": say("laying the compass on the map"),
    "observed": say("observed bearing"),
}

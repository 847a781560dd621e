"""Two minutes against a mistake, on the class's own ground: an exercise for each cause, in words, with lines of its key."""
from .domain.angles import difference, wrap
from .domain.kinds import kind_of
from .drawing.plan import bearing_text
from .wording import sentence_between

QUARTERS = ("north to east", "east to south", "south to west", "west to north")


def exercise(code, answers, points):
    """The exercise against a mistake. `answers` are those of a key, `points` its points by code. Empty for a key without sight lines."""
    lines = [answer for answer in answers if kind_of(answer.kind).needs_target]
    if not lines:
        return "On paper: say the sentence of this place aloud, then turn three bearings, each there and back." if answers else ""
    wanted, words = EXERCISES.get(code, EXERCISES["unexplained"])
    line = max(lines, key=wanted)
    return words(line, lambda point: f"{points[point]['name']} ({point})")


def _read(answer, north=None):
    return bearing_text(answer.bearings_deg[north or answer.north], north or answer.north)


def _any(answer):
    return -abs(difference(answer.bearings_deg["magnetic"] % 90.0, 45.0))  # well inside a quarter


def _declination(answer):
    return answer.north != "magnetic", kind_of(answer.kind).widget == "bearing", abs(answer.norths.declination_deg)


def _sideways(answer):
    return abs(difference(wrap(2.0 * answer.expected_deg), 0.0))  # far from north and south, where a mirror image falls on itself


def _crowded(answer):
    return -min((abs(difference(other.bearing_deg, answer.bearings_deg["true"])) for other in answer.others), default=180.0)


def _other_marks(answer):
    return len(answer.stations)


def _distinct(answer):
    return len(set(bearing_text(answer.expected_deg, "")[:3]))


def _reversed(line, named):
    quarter = QUARTERS[int(line.bearings_deg["magnetic"] // 90.0) % 4]
    return (f"At {named(line.station)}, before the compass: point at {named(line.target)} and say the quarter, {quarter}. Then box the red end and read: "
            f"{_read(line, 'magnetic')}. Now the partner turns the plate or the needle round on purpose; say what is wrong from the quarter alone.")


def _reckoned(line, named):
    sentence = sentence_between(line.norths, "magnetic", line.north)
    return (f"At {named(line.station)}: read {named(line.target)} as the compass gives it, {_read(line, 'magnetic')}. Say aloud: “{sentence}” "
            f"Give {_read(line)}. Three targets in a row; the partner only says which north is asked, and sometimes asks magnetic.")


def _norths(line, named):
    return (f"On the map at {named(line.station)}: put a finger on the grid line, then on the edge of the sheet. Same line to {named(line.target)}: "
            f"{_read(line, 'grid')}, {_read(line, 'true')}. Which of the two was asked?")


def _named(line, named):
    near = min(line.others, key=lambda other: abs(difference(other.bearing_deg, line.bearings_deg["true"])), default=None)
    beside = f" Then {named(near.code)}, at {bearing_text(line.norths.turn(near.bearing_deg, 'true', line.north), line.north)}." if near else ""
    return f"At {named(line.station)}: name the target back, and what stands beside it, then read {named(line.target)}: {_read(line)}.{beside} The partner names, you point."


def _marks(line, named):
    other = line.stations[0] if line.stations else None
    apart = f" Walk to {named(other.code)} and read it again: {bearing_text(line.norths.turn(other.bearing_deg, 'true', line.north), line.north)}." if other else ""
    return f"Touch the mark at {named(line.station)}, read its letter and its words aloud, and sight {named(line.target)}: {_read(line)}.{apart} Why do they differ?"


def _mirrored(line, named):
    side = "east" if 0.0 < line.bearings_deg["magnetic"] < 180.0 else "west"
    return (f"At {named(line.station)}: say whether {named(line.target)} lies east or west: {side}. Under 180 is east. Read at the index only: {_read(line)}. "
            "Then turn the dial slowly through a whole circle and say the numbers as they grow.")


def _counted(line, named):
    return (f"At {named(line.station)}, on {named(line.target)}: say the printed number before the index, the one after it, then count the ticks up from the first: "
            f"{_read(line)}. The partner sets five more numbers on the dial; you read them the same way.")


def _index(line, named):
    return f"At {named(line.station)}: finger on the index under the travel arrow, then read {named(line.target)}: {_read(line)}. The partner covers everything else of the dial."


def _digits(line, named):
    return (f"At {named(line.station)}, on {named(line.target)}: one reads, saying three single digits; the other writes and says them back: "
            f"{', '.join(bearing_text(line.expected_deg, '')[:3])}. Change places for four more targets.")


def _scale(line, named):
    return f"At {named(line.station)}: find the scale that ends at 360, cover the other with tape, and read {named(line.target)}: {_read(line)}."


def _afresh(line, named):
    return (f"At {named(line.station)}: stand over the mark, compass level, phone and keys away, red end in the arrow, read {named(line.target)}: {_read(line)}. "
            "Say every step aloud while the partner watches for the one that slips.")


EXERCISES = {  # cause: (which line suits best, what to do there)
    "reversed": (_any, _reversed), "declination_ignored": (_declination, _reckoned), "declination_wrong_way": (_declination, _reckoned),
    "declination_twice": (_declination, _reckoned), "convergence_ignored": (_declination, _norths), "other_target": (_crowded, _named),
    "other_station": (_other_marks, _marks), "mirrored": (_sideways, _mirrored), "counted_back": (_any, _counted), "quarter_turn": (_any, _index),
    "ten_off": (_any, _counted), "digits_swapped": (_distinct, _digits), "digit_dropped": (_distinct, _digits), "hundred_off": (_distinct, _digits),
    "mils": (_any, _scale), "unexplained": (_any, _afresh),
}

"""Two minutes against a mistake, on the class's own ground: an exercise for each cause, in words,
with lines of its key. None sends anybody along a line or to another mark: nobody has looked where
that leads.
"""

from ..domain.earth.angles import back, difference, three_digits, wrap
from ..domain.tasks.kinds import reads_needle
from ..domain.words import say
from ..drawing.plan import bearing_text
from ..languages import tell
from .north_sentences import sentence_between

QUARTERS = (say("north to east"), say("east to south"), say("south to west"), say("west to north"))


def exercise(code, answers, points):
    """The exercise against a mistake. `answers` are those of a key, `points` its points by code.
    Empty for a key without sight lines.
    """
    lines = [answer for answer in answers if reads_needle(answer)]
    if not lines:
        return (
            tell(
                "On paper: say the sentence of this place aloud, then turn three bearings, each "
                "there and back."
            )
            if answers
            else ""
        )
    wanted, words = EXERCISES.get(code, EXERCISES["unexplained"])
    line = max(lines, key=wanted)
    return words(line, lambda point: f"{points[point]['name']} ({point})")


def _read(answer, north=None):
    return bearing_text(answer.bearings_deg[north or answer.north], north or answer.north)


def _other(line, other):
    """The bearing of another point, in the north that is asked on a line."""
    return bearing_text(line.norths.turn(other.bearing_deg, "true", line.north), line.north)


def _any(answer):
    return -abs(difference(answer.bearings_deg["magnetic"] % 90.0, 45.0))  # well inside a quarter


def _aloud_deg(line):
    """The bearing in the asked north that the compass's, and the angle, make as they are said."""
    return line.norths.turned_aloud(line.bearings_deg["magnetic"], "magnetic", line.north)


def _declination(answer):
    return (
        answer.north != "magnetic",
        answer.form.in_figures,
        three_digits(_aloud_deg(answer)) == three_digits(answer.expected_deg),
        abs(answer.norths.declination_deg),
    )


def _sideways(answer):
    return abs(
        difference(wrap(2.0 * answer.expected_deg), 0.0)
    )  # far from north and south, where a mirror image falls on itself


def _crowded(answer):
    return -min(
        (
            abs(difference(other.bearing_deg, answer.bearings_deg["true"]))
            for other in answer.others
        ),
        default=180.0,
    )


def _other_marks(answer):
    return len(answer.stations)


def _distinct(answer):
    return len(set(three_digits(answer.expected_deg)))


def _reversed(line, named):
    return tell(
        "At {station}, before the compass: point at {target} and say the quarter, {quarter}. "
        "Then box the needle and read: {bearing}. "
        "Now the partner turns the plate or the needle round on purpose; say what is wrong from "
        "the quarter alone.",
        station=named(line.station),
        target=named(line.target),
        quarter=QUARTERS[int(line.bearings_deg["magnetic"] // 90.0) % 4],
        bearing=_read(line, "magnetic"),
    )


def _reckoned(line, named):
    return tell(
        "At {station}: read {target} as the compass gives it, {magnetic}. Say aloud: “{sentence}” "
        "Give {bearing}. Three targets in a row; the partner only says which north is asked, and "
        "sometimes asks magnetic.",
        station=named(line.station),
        target=named(line.target),
        magnetic=_read(line, "magnetic"),
        sentence=sentence_between(line.norths, "magnetic", line.north),
        bearing=bearing_text(_aloud_deg(line), line.north),
    )


def _norths(line, named):
    return tell(
        "On the map at {station}: put a finger on the grid line, then on the edge of the sheet. "
        "Same line to {target}: "
        "{grid}, {true}. Which of the two was asked?",
        station=named(line.station),
        target=named(line.target),
        grid=_read(line, "grid"),
        true=_read(line, "true"),
    )


def _named(line, named):
    near = min(
        line.others,
        key=lambda other: abs(difference(other.bearing_deg, line.bearings_deg["true"])),
        default=None,
    )
    values = {"station": named(line.station), "target": named(line.target), "bearing": _read(line)}
    if near is None:
        return tell(
            "At {station}: name the target back, and what stands beside it, then read {target}: "
            "{bearing}. The partner names, you point.",
            **values,
        )
    return tell(
        "At {station}: name the target back, and what stands beside it, then read {target}: "
        "{bearing}. Then {other}, at {other_bearing}. The partner names, you point.",
        other=named(near.code),
        other_bearing=_other(line, near),
        **values,
    )


def _marks(line, named):
    values = {"station": named(line.station), "target": named(line.target), "bearing": _read(line)}
    if not line.stations:
        return tell(
            "Touch the mark at {station}, read its letter and its words aloud, and sight "
            "{target}: {bearing}.",
            **values,
        )
    return tell(
        "Touch the mark at {station}, read its letter and its words aloud, and sight {target}: "
        "{bearing}. "
        "From {other} it is {other_bearing}. Why do they differ?",
        other=named(line.stations[0].code),
        other_bearing=_other(line, line.stations[0]),
        **values,
    )


def _mirrored(line, named):
    return tell(
        "At {station}: say whether {target} lies east or west: {side}. Under 180 is east. Read "
        "at the index only: {bearing}. "
        "Then turn the dial slowly through a whole circle and say the numbers as they grow.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
        side=say("east") if 0.0 < line.bearings_deg["magnetic"] < 180.0 else say("west"),
    )


def _counted(line, named):
    return tell(
        "At {station}, on {target}: say the printed number before the index, the one after it, "
        "then count the ticks up from the first: "
        "{bearing}. The partner sets five more numbers on the dial; you read them the same way.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
    )


def _index(line, named):
    return tell(
        "At {station}: finger on the index under the travel arrow, then read {target}: "
        "{bearing}. The partner covers everything else of the dial.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
    )


def _digits(line, named):
    return tell(
        "At {station}, on {target}: one reads, saying three single digits; the other writes and "
        "says them back: "
        "{digits}. Change places for four more targets.",
        station=named(line.station),
        target=named(line.target),
        digits=", ".join(three_digits(line.expected_deg)),
    )


def _scale(line, named):
    return tell(
        "At {station}: find the scale that ends at 360, cover the other with tape, and read "
        "{target}: {bearing}.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
    )


def _afresh(line, named):
    return tell(
        "At {station}: stand over the mark, compass level, phone and keys away, marked end in "
        "the arrow, read {target}: {bearing}. "
        "Say every step aloud while the partner watches for the one that slips.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
    )


def _past_360(line, named):
    return tell(
        "At {station}: say the bearing to {target}, {bearing}, and the way back: {back}. Then "
        "three bearings of your own; the partner stops you when a sum passes 360.",
        station=named(line.station),
        target=named(line.target),
        bearing=_read(line),
        back=bearing_text(back(round(line.expected_deg)), line.north),
    )


def _paced(line, named):
    return tell(
        "From {station}: walk the taped line twice and count each time the same foot comes down; "
        "write the mean on your hand. Then walk 30 m beside it by count alone and measure.",
        station=named(line.station),
    )


def _legs(line, named):
    return tell(
        "On open ground: walk a square, 20 m along {bearing} and then three right angles. Say the "
        "number of the leg and its count aloud before each turn: you end where you began.",
        bearing=_read(line),
    )


EXERCISES = {  # cause: (which line suits best, what to do there)
    "reversed": (_any, _reversed),
    "declination_ignored": (_declination, _reckoned),
    "declination_wrong_way": (_declination, _reckoned),
    "declination_twice": (_declination, _reckoned),
    "convergence_ignored": (_declination, _norths),
    "other_target": (_crowded, _named),
    "other_station": (_other_marks, _marks),
    "mirrored": (_sideways, _mirrored),
    "counted_back": (_any, _counted),
    "quarter_turn": (_any, _index),
    "ten_off": (_any, _counted),
    "digits_swapped": (_distinct, _digits),
    "digit_dropped": (_distinct, _digits),
    "hundred_off": (_distinct, _digits),
    "over_360": (_any, _past_360),
    "paces": (_any, _paced),
    "leg_left_out": (_any, _legs),
    "mils": (_any, _scale),
    "unexplained": (_any, _afresh),
}

"""The rows of a file of points in words, ready to print."""

from .. import vocabulary
from ..domain.words import say
from ..languages import local, tell, tell_many, told
from .surveys import LETTERS, metres_text, place_text

ACTIONS = {
    "new": say("new point"),
    "survey": say("survey again"),
    "named": say("new name or mark"),
    "same": say("left as it is"),
    "refused": say("refused"),
}
TAKEN = ("new", "survey", "named")


def rows_text(rows):
    """What the page says of all rows (`exchange.rows.Row`) of a file: each of them, and how many
    there are of each kind.
    """
    counts = {action: sum(row.action == action for row in rows) for action in ACTIONS}
    return {
        "counts": counts,
        "takes": sum(counts[action] for action in TAKEN),
        "rows": [row_text(row) for row in rows],
        "all_refused": bool(rows) and counts["refused"] == len(rows),
    }


def row_text(row):
    """A row of an import, ready to print."""
    is_moved = row.moved_m and row.action == "survey"
    return {
        "row": row,
        "action": told(ACTIONS[row.action]),
        "problem": told(row.problem),
        "remarks": [told(remark) for remark in row.remarks],
        "place": place_text(row.position, row.ellipse) if row.action != "refused" else "",
        "notation": told(vocabulary.NOTATIONS[row.place.notation]) if row.place else "",
        "moved": tell("{metres} m from where it is", metres=metres_text(row.moved_m))
        if is_moved
        else "",
        "takes": row.action in TAKEN,
    }


def orders_text(both):
    """The first rows of a file without a line of names, read in both orders
    (`exchange.headerless.BothWays`), and how many rows fall near the site in each; None where there
    are names.
    """
    if both is None:
        return None
    return {
        "near": [
            tell_many(
                "{number} of {all} row falls near the site",
                "{number} of {all} rows fall near the site",
                both.near[order],
                all=both.number,
            )
            for order in both.near
        ],
        "is_decided": bool(both.decided),
        "first": [
            (line, written, [_reading_text(readings[order]) for order in both.near])
            for line, written, readings in both.first
        ],
    }


def _reading_text(reading):
    """Where a row would lie in one order, or why nowhere."""
    if reading.place is None:
        return told(reading.problem)
    position = reading.place.position
    letters = "SN"[position.latitude_deg >= 0], "WE"[position.longitude_deg >= 0]
    return tell(
        "{latitude}° {north}, {longitude}° {east}: {distance} from the site",
        latitude=local(f"{abs(position.latitude_deg):.5f}"),
        longitude=local(f"{abs(position.longitude_deg):.5f}"),
        north=letters[0],
        east=LETTERS[letters[1]],
        distance=_far(reading.metres),
    )


def _far(metres):
    """A distance in metres or kilometres."""
    return f"{metres_text(metres)} m" if metres < 1000 else f"{metres_text(metres / 1000)} km"


def brought_in_text(made, surveyed):
    """How many points were made, and how many surveyed again, in a sentence or two."""
    sentences = [tell_many("{number} point made.", "{number} points made.", made)]
    if surveyed:
        sentences.append(
            tell_many("{number} surveyed again.", "{number} surveyed again.", surveyed)
        )
    return " ".join(sentences)

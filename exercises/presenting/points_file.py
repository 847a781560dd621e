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
EXCHANGES = {
    "place": say("Exchange latitude and longitude"),
    "latitude": say("Exchange latitude and longitude"),
    "easting": say("Exchange easting and northing"),
}
SHORT = ("elevation_m", "accuracy_m", "is_target", "method")  # keys of cells with a short text


def rows_text(rows, columns):
    """What the page says of all rows (`exchange.rows.Row`) of a file: each of them, and how many
    there are of each kind. `columns` are those that were chosen, {key: (index, what it is called)}.
    """
    counts = {action: sum(row.action == action for row in rows) for action in ACTIONS}
    exchangeable = sum(bool(row.exchanged) for row in rows)
    return {
        "counts": counts,
        "takes": sum(row.is_taken for row in rows),
        "rows": [row_text(row, columns) for row in rows],
        "headings": [columns[key][1] for key in rows[0].other_keys] if rows else [],
        "all_refused": bool(rows) and counts["refused"] == len(rows),
        "exchangeable": exchangeable if exchangeable > 1 else 0,
    }


def cell_text(row, key, columns):
    """A cell of a row that can be typed over, ready to print."""
    index, label = columns[key]
    return {
        "name": f"cell-{row.line}-{index}",
        "label": label,
        "text": row.cells[key],
        "is_short": key in SHORT,
        "is_wrong": key in row.wrong,
        "problem": told(row.problem) if key in row.wrong[:1] else "",
    }


def row_text(row, columns):
    """A row of an import, ready to print. What is wrong with it stands beside the first cell that
    is: for the place, beside all of its cells.
    """
    is_moved = row.moved_m and row.action == "survey"
    return {
        "row": row,
        "place_cells": [cell_text(row, key, columns) for key in row.place_keys],
        "place_problem": told(row.problem) if set(row.wrong) & set(row.place_keys) else "",
        "code_problem": told(row.problem) if "code" in row.wrong else "",
        "cells": [cell_text(row, key, columns) for key in row.other_keys],
        "exchange": told(EXCHANGES[next(iter(row.exchanged))]) if row.exchanged else "",
        "action": told(ACTIONS[row.action]),
        "remarks": [told(remark) for remark in row.remarks],
        "place": place_text(row.position, row.ellipse) if row.action != "refused" else "",
        "notation": told(vocabulary.NOTATIONS[row.place.notation]) if row.place else "",
        "moved": tell("{metres} m from where it is", metres=metres_text(row.moved_m))
        if is_moved
        else "",
        "takes": row.is_taken,
        "is_there": row.action in ("survey", "named", "same"),
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


def ticked_text(ticked, number):
    """How many of some rows are ticked."""
    return tell_many(
        "{ticked} of {number} row ticked", "{ticked} of {number} rows ticked", number, ticked=ticked
    )


def read_as_text(settings, method):
    """What holds where the sheet is silent (`exchange.rows.Settings`), in a few words. `method` is
    what its method is called.
    """
    values = {"metres": metres_text(settings.accuracy_m), "method": method}
    if settings.epsg:
        return tell(
            "{method}, ± {metres} m where none is stated, EPSG {code}",
            code=str(settings.epsg),
            **values,
        )
    return tell("{method}, ± {metres} m where none is stated", **values)


def unused_text(names):
    """Which columns of a file are not used, in a sentence; nothing where all are."""
    if not names:
        return ""
    return tell_many(
        "{number} column is not used: {names}.",
        "{number} columns are not used: {names}.",
        len(names),
        names=", ".join(name[:40] for name in names),
    )


def left_text(left, repaired):
    """What is left of a file of which the rest was brought in, in a sentence or two."""
    sentences = [
        tell_many(
            "{number} row is left here: mend it, or go back and leave it out.",
            "{number} rows are left here: mend them, or go back and leave them out.",
            left,
        ),
    ]
    if repaired:
        sentences.append(
            tell_many(
                "{number} that was refused can be read now and is ticked.",
                "{number} that were refused can be read now and are ticked.",
                repaired,
            )
        )
    return " ".join(sentences)

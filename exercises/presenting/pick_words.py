"""The words of why a line was proposed, and that there is no other, by code."""

from __future__ import annotations

from collections.abc import Iterable

from .. import vocabulary
from ..domain.words import Words, say, say_many, together
from .causes import WORDS as CAUSES
from .lengths import desk_length
from .probabilities import percent


def names(codes: Iterable[str]) -> Words:
    """Causes by their names, one after another."""
    return together([CAUSES[code].name for code in codes], ", ")


WHAT = {
    "nearest_answer": lambda task, values: say(
        "The nearest other answer is {degrees:.0f}° away on the dial.", degrees=values["apart_deg"]
    ),
    "chance": lambda task, values: say(
        "Perfect technique earns full credit {chance} of the time.",
        chance=percent(values["chance"]),
    ),
    "shows_alone": lambda task, values: say(
        "Only this one shows: {causes}.", causes=names(values["causes"])
    ),
    "shows": lambda task, values: say_many(
        "It shows {number} kind of mistake.",
        "It shows {number} kinds of mistake.",
        values["number"],
    ),
    "length": lambda task, values: say("{length} long.", length=desk_length(values["distance_m"])),
    "copied_here": lambda task, values: say(
        "Its answer can be copied from {station} → {target}, {degrees:.0f}° away.",
        station=values["station"],
        target=values["target"],
        degrees=values["apart_deg"],
    ),
    "no_other": lambda task, values: say(
        "There is no other: each line left has as much against it."
    ),
    "so_everywhere": lambda task, values: say(
        "So it is with every line here that is asked in {north}.",
        north=vocabulary.NORTHS[values["north"]],
    ),
}

"""The key: the answers of a course on a date, with everything that they were computed from."""

from dataclasses import asdict, replace

from ..earth.norths import Norths
from ..words import Words
from . import carried_bearing, places
from .answer import Answer, Other
from .bands import Band
from .budget import Budget, Term
from .kinds import kind_of


def compute(tasks, site, on):
    """The answers of tasks on a site for a date, in order.

    Raises what geodesy, magnetics and norths raise: UnknownPoint, SamePoint, UnsuitableGrid,
    NoDeclination, UnknownNorth.
    """
    sighted = [(task.station, task.target) for task in tasks if task.target]
    answers = [
        replace(kind_of(task.kind).answer(task, site, on, sighted), feedback=task.feedback)
        for task in tasks
    ]
    return places.lettered(carried_bearing.linked(answers), site.points)


def to_plain(answers):
    """Answers as lists and dicts that JSON can hold."""
    return [{**asdict(answer), "warning": _plain_warning(answer.warning)} for answer in answers]


def from_plain(rows):
    """The answers that `to_plain` was given."""
    return tuple(
        Answer(
            **{
                **row,
                "band": Band(**row["band"]),
                "norths": Norths(**row["norths"]),
                "warning": _warning(row["warning"]),
                "budget": Budget(tuple(Term(**term) for term in row["budget"]["terms"])),
                "others": tuple(_other(other) for other in row["others"]),
                "stations": tuple(_other(other) for other in row["stations"]),
                "where": places.from_plain(row.get("where")),
            }
        )
        for row in rows
    )


def _plain_warning(words):
    """A warning with what it was made of, so that it can be said in another language later."""
    return {"pattern": words.pattern, "values": words.values} if isinstance(words, Words) else words


def _warning(plain):
    """The warning again; keys from before there were languages hold the English text."""
    return Words(plain["pattern"], plain["values"]) if isinstance(plain, dict) else plain


def _other(row):
    return Other(
        row["code"], row["bearing_deg"], row["share"], tuple(tuple(pair) for pair in row["targets"])
    )

"""The key: the answers of a course on a date, with everything that they were computed from."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from typing import Any

from ..earth.norths import Norths
from ..words import Words
from . import carried_bearing
from .answer import Answer, Other
from .bands import Band
from .budget import Budget, Term
from .kinds import kind_of
from .kinds.base import Kind, Sighted
from .site import Site, Task
from .spots import lettered

Row = dict[str, Any]  # what JSON holds of one answer, or of a part of it


def compute(tasks: Sequence[Task], site: Site, on: datetime.date) -> tuple[Answer, ...]:
    """The answers of tasks on a site for a date, in order.

    Raises what geodesy, magnetics and norths raise: UnknownPoint, SamePoint, UnsuitableGrid,
    NoDeclination, UnknownNorth.
    """
    sighted = Sighted((task.station, task.target) for task in tasks if task.target)
    answers = [_with_choices(kind_of(task.kind), task, site, on, sighted) for task in tasks]
    return lettered(carried_bearing.linked(answers), site.points)


def _with_choices(
    kind: Kind, task: Task, site: Site, on: datetime.date, sighted: Sighted
) -> Answer:
    """The answer of a task, with what its instructor chose that no answer depends on."""
    return replace(
        kind.answer(task, site, on, sighted),
        feedback=task.feedback,
        angle_way=task.angle_way or kind.angle_way,
    )


def to_plain(answers: Iterable[Answer]) -> list[Row]:
    """Answers as lists and dicts that JSON can hold."""
    return [_plain(answer) for answer in answers]


def _plain(answer: Answer) -> Row:
    """One answer as JSON holds it."""
    row = asdict(answer)
    del row["form"]  # the kind says which it is; what it holds of its own is kept as a place
    return {**row, "warning": _plain_warning(answer.warning), "where": answer.form.to_plain()}


def from_plain(rows: Iterable[Row]) -> tuple[Answer, ...]:
    """The answers that `to_plain` was given."""
    return tuple(_answer(row) for row in rows)


def _answer(row: Row) -> Answer:
    """The answer that `_plain` was given."""
    known = {name: value for name, value in row.items() if name != "where"}
    made = {
        "band": Band(**row["band"]),
        "norths": Norths(**row["norths"]),
        "warning": _warning(row["warning"]),
        "budget": Budget(tuple(Term(**term) for term in row["budget"]["terms"])),
        "others": tuple(_other(other) for other in row["others"]),
        "stations": tuple(_other(other) for other in row["stations"]),
        "form": kind_of(row["kind"]).restored(row.get("where")),
    }
    return Answer(**{**known, **made})


def _plain_warning(words: str) -> str | Row:
    """A warning with what it was made of, so that it can be said in another language later."""
    return {"pattern": words.pattern, "values": words.values} if isinstance(words, Words) else words


def _warning(plain: str | Row) -> str:
    """The warning again; keys from before there were languages hold the English text."""
    return Words(plain["pattern"], plain["values"]) if isinstance(plain, dict) else plain


def _other(row: Row) -> Other:
    """Another point, as JSON holds it."""
    return Other(
        row["code"], row["bearing_deg"], row["share"], tuple(tuple(pair) for pair in row["targets"])
    )

"""Nameless readings, out and in: rows from classes that were held, and the check of a file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import jsonschema

from ...domain.results.judged import Judged
from .. import tables

VERSION = 1
LEAST_PEOPLE = 5
SCHEMA = json.loads(Path(__file__).with_name("schema.json").read_text(encoding="utf-8"))
COLUMNS = tuple(SCHEMA["properties"])
TEXTS = {name for name, rule in SCHEMA["properties"].items() if rule.get("type") == "string"} | {
    "north",
    "label_by",
    "question",
    "reply",
    "unit",
}
MOST_TROUBLES = 50
NUMBER = re.compile(r"-?(0|[1-9]\d{0,12})(\.\d{1,12})?")


@dataclass(frozen=True)
class HeldReading:
    """A reading as it was judged, the year it was given in, and what was said of it afterwards:
    (cause, who says so) and (question, reply), either of them None.
    """

    judged: Judged
    year: int
    label: tuple[str, str] | None = None
    reply: tuple[str, str] | None = None


def records(classes: Iterable[Sequence[HeldReading]]) -> Iterator[tuple[object, ...]]:
    """The rows of classes, in the order of COLUMNS; of classes of fewer than LEAST_PEOPLE none."""
    number = 0
    for readings in classes:
        if len({held.judged.person for held in readings}) < LEAST_PEOPLE:
            continue
        number += 1
        people: dict[str, int] = {}
        compasses: dict[str, int] = {"": 0}
        for held in readings:
            person = people.setdefault(held.judged.person, len(people) + 1)
            compass = held.judged.reading.compass
            yield _record(held, number, person, compasses.setdefault(compass, len(compasses)))


def _record(held: HeldReading, number: int, person: int, compass: int) -> tuple[object, ...]:
    """One row."""
    judged, instrument = held.judged, held.judged.reading.instrument
    answer = judged.answer
    row = {
        "version": VERSION,
        "class": number,
        "person": person,
        "compass": compass,
        "year": held.year,
        "kind": answer.kind,
        "north": answer.north,
        "declination_deg": round(answer.norths.declination_deg),
        "graduation_deg": f"{instrument.graduation_deg:g}",
        "unit": instrument.unit.code,
        "declination_is_set": int(instrument.declination_is_set),
        "error_deg": _error(judged),
        "cause": judged.verdict.cause,
        "probability": f"{min(judged.verdict.probability, 1.0):.3f}",
    }
    if held.label:
        row["label"], row["label_by"] = held.label
    if held.reply:
        question, said = held.reply
        row["question"] = question
        row["reply"] = said if question != "aimed_at" else _thing(said, answer.target)
    return tuple(row.get(name, "") for name in COLUMNS)


def _error(judged: Judged) -> str:
    """By how much a bearing is off, to a tenth."""
    if not judged.answer.form.in_figures:
        return ""
    error_deg = round(judged.grade.error_deg, 1)
    return f"{180.0 if error_deg == -180.0 else error_deg + 0.0:g}"


def _thing(said: str, target: str) -> str:
    """What was aimed at, without naming it."""
    if not said:
        return ""
    return "asked" if said == target else "another"


def troubles(name: str, stream) -> list[str]:
    """What is wrong with a table of nameless readings, each by line and column; nothing of a sound
    one. Raises tables.BadTable for what is no table.
    """
    validator = jsonschema.Draft202012Validator(SCHEMA)
    found: list[str] = []
    for row in tables.rows(name, stream, COLUMNS):
        values = {column: _value(column, row[column]) for column in COLUMNS if row[column] != ""}
        for error in sorted(validator.iter_errors(values), key=lambda error: list(error.path)):
            column = str(error.path[0]) if error.path else ""
            where = f"{name}, line {row.line}" + (f", {column}" if column else "")
            found.append(f"{where}: {error.message}")
            if len(found) == MOST_TROUBLES:
                return [*found, f"{name}: and perhaps more; put these right first."]
    return found


def _value(column: str, text: str) -> object:
    """What a cell holds: a number where one is wanted and there is one."""
    is_number = column not in TEXTS and NUMBER.fullmatch(text)
    return json.loads(text) if is_number else text


def as_text(classes: Iterable[Sequence[HeldReading]]) -> str:
    """The table as text."""
    return tables.as_text(COLUMNS, list(records(classes)))

"""The field book of a traverse as it is typed: one line for each time that a leg was measured.

`P1 074 60.50` is the leg to P1, its bearing and its distance in metres. `P1 074/254 60.50` has the
back bearing too, read at P1. `A P1 074 60.50` names both ends, and `P1 A 254 60.50` is the same leg
read from its far end. Another line of the same leg belongs to its set; `-` stands for what was not
measured that time.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from ...earth.angles import NotABearing, parse_bearing, wrap
from ...words import Words, say
from .leg_sets import Observed

CODE = re.compile(r"[A-Z0-9]{1,4}")
DEGREES_MINUTES = re.compile(  # 74°30'15", 74-30-15 and 74°30', as on traverse sheets
    r"(\d{1,3})[°-](\d{1,2})(?:['′’-](\d{1,2}(?:[.,]\d{1,3})?)?)?[\"″”]?"
)
DISTANCE = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?)\s*m?", re.IGNORECASE)
NOT_MEASURED = ("-", "–", "—")
LEAST_LEGS, MOST_LEGS, MOST_LINES = 2, 60, 300
SHORTEST_M, LONGEST_M = 0.1, 5000.0
SHOWN = 40  # characters of a line that a message repeats


class BadBook(ValueError):
    """A field book that cannot be read. `problems` are sentences, each with its line where it has
    one.
    """

    def __init__(self, problems: Sequence[Words]) -> None:
        super().__init__(problems[0])
        self.problems = tuple(problems)


class _BadLine(ValueError):
    """A line that cannot be read."""


@dataclass(frozen=True)
class BookLeg:
    """A leg by its two ends' codes, and all that was observed of it."""

    start: str
    to: str
    observed: tuple[Observed, ...]


@dataclass(frozen=True)
class _Entry:
    """What one line says: the ends that it names (the first may be left out) and the numbers."""

    line: int
    start: str
    to: str
    bearing_deg: float | None
    back_deg: float | None
    distance_m: float | None


@dataclass
class _Way:
    """The legs so far, in order."""

    start: str
    end: str
    legs: list[tuple[str, str, list[Observed]]] = field(default_factory=list)

    def note(self, entry: _Entry) -> None:
        """Put a line to its leg, or begin a new one. Raises _BadLine."""
        here = self.legs[-1][1] if self.legs else self.start
        for start, to, observed in self.legs:
            if entry.to == to and entry.start in (start, ""):
                observed.append(_observed(entry))
                return
            if (entry.start, entry.to) == (to, start):
                observed.append(_observed(entry, is_back=True))
                return
        self._check_next(entry, here)
        self.legs.append((here, entry.to, [_observed(entry)]))

    def _check_next(self, entry: _Entry, here: str) -> None:
        """Raise _BadLine where a line does not go on from where the way has come to."""
        if self.legs and here == self.end:
            raise _BadLine(
                say("The way has come to its end, {end}, before this line.", end=self.end)
            )
        if entry.start not in (here, ""):
            raise _BadLine(
                say(
                    "A leg from {start}, but the way has come to {here}.",
                    start=entry.start,
                    here=here,
                )
            )
        if entry.to == here or (entry.to == self.start and entry.to != self.end):
            raise _BadLine(say("A leg to {to}, where the way has been.", to=entry.to))
        if len(self.legs) == MOST_LEGS:
            raise _BadLine(say("A traverse has at most {most} legs.", most=MOST_LEGS))


def _observed(entry: _Entry, *, is_back: bool = False) -> Observed:
    """What a line says of its leg; `is_back` where it names the ends the other way round."""
    fore, back = entry.bearing_deg, entry.back_deg
    return Observed(entry.line, *((back, fore) if is_back else (fore, back)), entry.distance_m)


def read_book(text: str, start: str, end: str) -> tuple[BookLeg, ...]:
    """The legs of a traverse from a point of the code `start` to one of the code `end` (the same
    for a loop), as typed, in order.

    Cells are parted by spaces, tabs, semicolons, or commas where there is nothing else; a decimal
    mark is a point or a comma. Raises BadBook with all that is wrong.

    >>> [len(leg.observed) for leg in read_book("P1 074 60; P1 075 60.1; A 254 60", "A", "A")]
    [2, 1]
    """
    lines = [
        (number, line.strip()) for number, line in enumerate(_lines(text), start=1) if line.strip()
    ]
    if not lines:
        raise BadBook([say("Type the legs, one a line: a code, a bearing, a distance.")])
    if len(lines) > MOST_LINES:
        raise BadBook([say("A field book has at most {most} lines.", most=MOST_LINES)])
    way, problems = _Way(start, end), []
    for number, line in lines:
        try:
            way.note(_entry(number, line))
        except (_BadLine, NotABearing) as error:
            problems.append(
                say(
                    "Line {line}, “{text}”: {problem}",
                    line=number,
                    text=line[:SHOWN],
                    problem=error.args[0],
                )
            )
    if problems := problems or _incomplete(way):
        raise BadBook(problems)
    return tuple(BookLeg(start, to, tuple(observed)) for start, to, observed in way.legs)


def _lines(text: str) -> list[str]:
    """The lines of a text. A single one may hold several legs, parted by semicolons and spaces."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return re.split(r";\s+", lines[0]) if len(lines) == 1 else lines


def _incomplete(way: _Way) -> list[Words]:
    """What is missing once every line could be read."""
    here = way.legs[-1][1]
    if here != way.end:
        return [
            say(
                "The last leg goes to {here}, but the traverse ends at {end}. Add the leg to "
                "{end}, or choose another end.",
                here=here,
                end=way.end,
            )
        ]
    if len(way.legs) < LEAST_LEGS:
        return [say("One leg is no traverse: measure the point from another instead.")]
    return [
        problem
        for start, to, observed in way.legs
        for problem in _not_measured(start, to, observed)
    ]


def _not_measured(start: str, to: str, observed: Sequence[Observed]) -> list[Words]:
    """What no line says of a leg."""
    line = observed[0].line
    problems = []
    if all(one.fore_deg is None and one.back_deg is None for one in observed):
        problems.append(
            say("Line {line}: no bearing from {start} to {to}.", line=line, start=start, to=to)
        )
    if all(one.distance_m is None for one in observed):
        problems.append(
            say("Line {line}: no distance from {start} to {to}.", line=line, start=start, to=to)
        )
    return problems


def _entry(number: int, line: str) -> _Entry:
    """One line. Raises _BadLine, or NotABearing."""
    cells = _cells(line)
    if len(cells) not in (3, 4):
        raise _BadLine(
            say(
                "This is no leg. Write the code of the point it goes to, a bearing and a distance "
                "in metres, such as P1 074 60.5."
            )
        )
    *codes, bearing, distance = cells
    ends = [_code(code) for code in codes]
    fore, slash, back = bearing.partition("/")
    entry = _Entry(
        number,
        ends[0] if len(ends) == 2 else "",
        ends[-1],
        _bearing(fore),
        _bearing(back) if slash else None,
        _distance(distance),
    )
    if (entry.bearing_deg, entry.back_deg, entry.distance_m) == (None, None, None):
        raise _BadLine(say("Nothing was measured here. Leave the line out."))
    return entry


def _cells(line: str) -> list[str]:
    """The cells of a line."""
    if ";" in line or "\t" in line:
        cells = re.split(r"[;\t]", line)
    elif re.search(r"\s", line):
        cells = [cell.rstrip(",") for cell in re.sub(r"(?<!\s)\s+m$", "", line).split()]
    else:
        cells = line.split(",")
    return [cell.strip() for cell in cells if cell.strip()]


def _code(text: str) -> str:
    """The code of a point. Raises _BadLine."""
    code = text.upper()
    if not CODE.fullmatch(code):
        raise _BadLine(
            say(
                "“{code}” is no code. Use one to four capital letters or digits.",
                code=text[:20],
            )
        )
    return code


def _bearing(text: str) -> float | None:
    """A bearing in degrees, or None where it was not measured. Raises _BadLine, NotABearing."""
    if text in NOT_MEASURED:
        return None
    if parts := DEGREES_MINUTES.fullmatch(text):
        degrees, minutes = float(parts[1]), float(parts[2])
        seconds = float((parts[3] or "0").replace(",", "."))
        if degrees > 360.0 or minutes >= 60.0 or seconds >= 60.0:
            raise _BadLine(
                say(
                    "“{text}” is no bearing: degrees go to 360, minutes and seconds to 59.",
                    text=text,
                )
            )
        return wrap(degrees + minutes / 60.0 + seconds / 3600.0)
    return parse_bearing(text).degrees


def _distance(text: str) -> float | None:
    """A distance in metres, or None where it was not measured. Raises _BadLine."""
    if text in NOT_MEASURED:
        return None
    written = DISTANCE.fullmatch(text)
    metres = float(written[1].replace(",", ".")) if written else 0.0
    if not SHORTEST_M <= metres <= LONGEST_M:
        raise _BadLine(
            say(
                "“{text}” is no distance: use metres from {least:g} to {most:g}.",
                text=text[:20],
                least=SHORTEST_M,
                most=LONGEST_M,
            )
        )
    return metres

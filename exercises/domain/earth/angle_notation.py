"""Latitudes and longitudes as people write them: decimal degrees, degrees and minutes, or degrees,
minutes and seconds, with a sign or a letter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..words import say

LATITUDE, LONGITUDE = "latitude", "longitude"
AXIS_OF_LETTER = {"N": LATITUDE, "S": LATITUDE, "E": LONGITUDE, "W": LONGITUDE}
SHOWN = 40  # characters of a text that a message repeats


class NotAPlace(ValueError):
    """A text that gives no place, or more than one. The message says what was wrong and what to
    write instead.
    """


@dataclass(frozen=True)
class Number:
    """A number as written; `step` is what one unit of its last digit is worth."""

    value: float
    step: float


def read_number(text: str) -> Number:
    """A number with a point or a comma, as `Number`. Raises NotAPlace.

    >>> read_number("45,13").value
    45.13
    """
    if not re.fullmatch(r"[-+]?\d{1,12}([.,]\d{0,20})?", text):
        raise NotAPlace(
            say("“{text}” is not a number. Use digits and one decimal mark.", text=text[:SHOWN])
        )
    text = text.replace(",", ".")
    return Number(float(text), _last_digit(text))


def _last_digit(number: str) -> float:
    """What one unit of the last digit of a number with a point is worth."""
    return 10.0 ** -len(number.partition(".")[2])


@dataclass(frozen=True)
class Angle:
    """A latitude or a longitude as written, north and east positive. `axis` is LATITUDE, LONGITUDE,
    or "" where no letter says; `notation` is decimal, minutes or seconds; `step_deg` is what one
    unit of the last digit is worth.
    """

    degrees: float
    axis: str
    notation: str
    step_deg: float


NUMBER = r"\d{1,3}(?:[.,]\d{0,20})?"
SIXTIETHS = r"\d{1,2}(?:[.,]\d{0,15})?"
ANGLE = re.compile(
    rf"(?P<before>[NSEWO])?\s*(?P<sign>[-+])?\s*(?P<degrees>{NUMBER})\s*(?:°|deg)?"
    rf"(?:[\s:]*(?P<minutes>{SIXTIETHS})\s*(?:'|min)?"
    rf"(?:[\s:]*(?P<seconds>{SIXTIETHS})\s*(?:\"|sec)?)?)?"
    r"\s*(?P<after>[NSEWO])?",
    re.IGNORECASE,
)


def is_angle(text: str) -> bool:
    """Whether a text has the form of an angle."""
    return ANGLE.fullmatch(text) is not None


def axis_in_words(axis: str) -> str:
    """An axis in words, for a message."""
    if not axis:
        return say("latitude or longitude")
    return say("latitude") if axis == LATITUDE else say("longitude")


def read_angle(text: str, axis: str = "") -> Angle:
    """An angle in decimal degrees, degrees and minutes, or degrees, minutes and seconds, as
    `Angle`. Raises NotAPlace.

    `axis` names what is read, for the message. A letter gives the sign; a minus beside S or W says
    the same thing twice and is refused.
    """
    written = ANGLE.fullmatch(text.strip())
    if not written:
        raise NotAPlace(
            say(
                "“{text}” is not a {axis}. Write degrees such as 45.13020 S or 45°07'48.7\"S.",
                text=text[:SHOWN],
                axis=axis_in_words(axis),
            )
        )
    parts = _parts(written, text)
    letter = _letter(written, text)
    size = sum(float(part) / 60**place for place, part in enumerate(parts))
    is_negative = written["sign"] == "-" or letter in ("S", "W")
    return Angle(
        -size if is_negative else size,
        AXIS_OF_LETTER.get(letter, ""),
        ("decimal", "minutes", "seconds")[len(parts) - 1],
        _last_digit(parts[-1]) / 60 ** (len(parts) - 1),
    )


def _parts(written: re.Match[str], text: str) -> list[str]:
    """Degrees, minutes and seconds, as many as there are, with points. Raises NotAPlace."""
    parts = [
        written[name].replace(",", ".")
        for name in ("degrees", "minutes", "seconds")
        if written[name] is not None
    ]
    if any("." in part for part in parts[:-1]):
        raise NotAPlace(
            say(
                "“{text}”: only the last of degrees, minutes and seconds may have decimals.",
                text=text[:SHOWN],
            )
        )
    if any(float(part) >= 60 for part in parts[1:]):
        raise NotAPlace(say("“{text}”: minutes and seconds stay below 60.", text=text[:SHOWN]))
    return parts


def _letter(written: re.Match[str], text: str) -> str:
    """The letter of an angle, N, S, E or W, or "". Raises NotAPlace where there is another sign."""
    letters = [
        letter.upper().replace("O", "W")  # O is the west of Spanish maps
        for letter in (written["before"], written["after"])
        if letter
    ]
    if len(letters) > 1 or (letters and written["sign"] == "-"):
        raise NotAPlace(
            say(
                "“{text}” has two signs. Write either a minus or a letter, once.", text=text[:SHOWN]
            )
        )
    return letters[0] if letters else ""


def halves(text: str) -> list[str] | None:
    """The two halves of a pair of angles, or None where it is none. Raises NotAPlace where commas
    are marks and separators both.

    A comma parts unless it stands between digits; between digits it is a decimal mark in both
    numbers or in none.
    """
    if not re.fullmatch(r"[-+\d.,;:°'\"\sNSEWOnsewo/degminsc]*", text) or not re.search(
        r"\d", text
    ):
        return None
    for parting in (r"\s*[;/]\s*", r",\s+|\s+,"):
        parted = re.split(parting, text)
        if len(parted) == 2 and all(is_angle(half.strip()) for half in parted):
            return _with_one_mark(parted, text)
    if re.fullmatch(r"[-+]?\d{1,3}(\.\d*)?,[-+]?\d{1,3}(\.\d*)?", text):
        return _parted_by_comma(text)
    if text.count(",") == 3 and " " not in text:
        raise NotAPlace(
            say(
                "“{text}”: commas stand in the numbers and between them. Write points in the "
                "numbers, or a semicolon between them.",
                text=text[:SHOWN],
            )
        )
    pair = _parted_by_letters(text) or _parted_by_words(text)
    return _with_one_mark(pair, text) if pair else None


def _parted_by_comma(text: str) -> list[str]:
    """Two numbers with a comma between them. Raises NotAPlace where it may be a decimal mark."""
    if "." not in text and not re.search(r",[-+]", text):
        raise NotAPlace(
            say(
                "“{text}”: is the comma a decimal mark, or does it part two numbers? Write "
                "points in the numbers, or a semicolon between them.",
                text=text[:SHOWN],
            )
        )
    return text.split(",")


def _parted_by_letters(text: str) -> list[str] | None:
    """Two angles, each with its letter, or None."""
    lettered = re.findall(
        r"[^NSEWOnsewo]+[NSEWOnsewo](?![a-z])|[NSEWOnsewo](?![a-z])[^NSEWOnsewo]+", text
    )
    parted = [half.strip(" ,;") for half in lettered]
    return parted if len(parted) == 2 and all(map(is_angle, parted)) else None


def _parted_by_words(text: str) -> list[str] | None:
    """Two angles of as many words each, or None."""
    words = text.replace(",", " ").split() if not re.search(r"\d,\d", text) else text.split()
    middle, odd = divmod(len(words), 2)
    if odd or not words:
        return None
    parted = [" ".join(words[:middle]), " ".join(words[middle:])]
    return parted if all(map(is_angle, parted)) else None


def _with_one_mark(parted: list[str], text: str) -> list[str]:
    """The halves, if they use one decimal mark. A comma in one and a point in the other is a slip
    of a spreadsheet, not a place.
    """
    marks = {mark for half in parted for mark in re.findall(r"\d([.,])\d", half)}
    if len(marks) == 2:
        raise NotAPlace(
            say(
                "“{text}” mixes decimal points and decimal commas. Use one of them in both "
                "numbers.",
                text=text[:SHOWN],
            )
        )
    return parted

"""Latitudes and longitudes as people write them, in English and in Spanish: decimal degrees,
degrees and minutes, or degrees, minutes and seconds, with a sign or a letter.

Nothing is left over: an angle, or a pair of angles, is the whole of its text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from ..words import say

LATITUDE, LONGITUDE = "latitude", "longitude"
# O is the west of Spanish maps; φ and λ are the surveyor's signs for the two axes.
AXIS_OF_LETTER = {
    **dict.fromkeys("NSφ", LATITUDE),
    **dict.fromkeys("EWOλ", LONGITUDE),
}
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
    if not re.fullmatch(r"[-+]?[0-9]{1,12}([.,][0-9]{0,20})?", text):
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
    or "" where nothing says; `notation` is decimal, minutes or seconds; `step_deg` is what one unit
    of the last digit is worth. `is_marked` says that signs part its figures (`45°07'`), not spaces
    alone; `has_degree_sign` that a ° stands in it; `is_o` that its letter is O: west in Spanish,
    east (Ost) in German.
    """

    degrees: float
    axis: str
    notation: str
    step_deg: float
    is_marked: bool = False
    has_degree_sign: bool = False
    is_o: bool = False

    @property
    def eastwards(self) -> Angle:
        """The same with its O read as Ost, the east of German maps."""
        return replace(self, degrees=-self.degrees, is_o=False)


# What words and letters stand for. A word is one only where no letter stands beside it.
SIGN_OF_WORDS = (
    ("φ", r"(?:de\s+)?lat(?:itude?)?\.?"),
    ("λ", r"(?:de\s+)?(?:lon(?:g(?:itude?)?)?|lng)\.?"),
    ("N", r"north|norte"),
    ("S", r"south|sur"),
    ("E", r"east|este"),
    ("W", r"west|oeste"),
    ("°", r"degrees?|degs?\.?|grados?"),
    ("'", r"minutes?|minutos?|mins?\.?"),
    ('"', r"seconds?|segundos?|secs?\.?|segs?\.?"),
)
IN_SIGNS = [
    (sign, re.compile(rf"(?<![^\W\d_])(?:{word})(?![^\W\d_])", re.IGNORECASE))
    for sign, word in SIGN_OF_WORDS
]
FIGURES = r"[0-9]+(?:[.,][0-9]+)?"
# `45d07m48.7s`. Where the s is missing, an S that follows is the south.
WITH_SECONDS = re.compile(
    rf"([0-9])\s*d\s*({FIGURES})\s*m\s*({FIGURES})\s*s(?![a-z])", re.IGNORECASE
)
WITHOUT_SECONDS = re.compile(rf"([0-9])\s*d\s*({FIGURES})\s*m\s*(?={FIGURES})", re.IGNORECASE)
WITH_MINUTES = re.compile(rf"([0-9])\s*d\s*({FIGURES})\s*m(?![a-z])", re.IGNORECASE)
WITH_DEGREES = re.compile(r"([0-9])\s*d(?![a-z])", re.IGNORECASE)


def in_signs(text: str) -> list[str]:
    """The ways to write a text with signs for words and letters: one, or two where an `s` after
    `45d07m48` may be seconds or the south.
    """
    for sign, word in IN_SIGNS:
        text = word.sub(sign, text)
    seconds = WITH_SECONDS.sub(r"\1°\2'\3" + '"', text)
    ways = [seconds] if seconds != text and not WITHOUT_SECONDS.search(seconds) else []
    ways.append(WITHOUT_SECONDS.sub(r"\1°\2'", text))
    return [WITH_DEGREES.sub(r"\1°", WITH_MINUTES.sub(r"\1°\2'", way)) for way in ways]


NUMBER = r"[0-9]{1,3}(?:\.[0-9]{0,20})?"
SIXTIETHS = r"[0-9]{1,2}(?:\.[0-9]{0,15})?"
ANGLE = re.compile(
    rf"(?P<first>[φλ])?[\s:=]*(?P<before>[NSEWO])?\s*(?P<sign>[-+])?(?P<degrees>{NUMBER})"
    rf"(?:(?P<mark>\s*[°:]\s*|\s+)(?P<minutes>{SIXTIETHS})"
    rf"(?:(?P<next>\s*[':]\s*|\s+)(?P<seconds>{SIXTIETHS})(?:\s*\")?|\s*')?|(?P<only>\s*°))?"
    r"\s*(?P<middle>[φλ])?\s*(?P<after>[NSEWO])?\s*(?P<last>[φλ])?",
    re.IGNORECASE,
)


def axis_in_words(axis: str) -> str:
    """An axis in words, for a message."""
    if not axis:
        return say("latitude or longitude")
    return say("latitude") if axis == LATITUDE else say("longitude")


def read_angle(text: str, axis: str = "") -> Angle:
    """An angle that is a whole text, as `Angle`. Raises NotAPlace.

    `axis` names what is read, for the message. A letter gives the sign; a minus beside S or W says
    the same thing twice and is refused.
    """
    found, complaints = [], []
    for way in in_signs(text.strip()):
        try:
            found += [angle] if (angle := angle_of(way.replace(",", "."))) else []
        except NotAPlace as error:
            complaints.append(error)
    found = [angle for angle in found if axis in ("", angle.axis)] or found
    if not found and complaints:
        raise complaints[0]
    if not found:
        raise NotAPlace(
            say(
                "“{text}” is not a {axis}. Write degrees such as 45.13020 S or 45°07'48.7\"S.",
                text=text[:SHOWN],
                axis=axis_in_words(axis),
            )
        )
    if len(found) > 1 and "s" not in text:  # in a small s after d and m, seconds are meant
        raise NotAPlace(
            say("“{text}”: is the S seconds, or the south? Write 45°07'48.7\"S.", text=text[:SHOWN])
        )
    return found[0]


def angle_of(text: str) -> Angle | None:
    """The angle that a text in signs is, with points as decimal marks, or None. Raises
    NotAPlace.
    """
    written = ANGLE.fullmatch(text)
    if not written:
        return None
    parts = _parts(written, text)
    letter = _letter(written, text)
    axes = {
        AXIS_OF_LETTER[sign] for sign in (letter, *written.group("first", "middle", "last")) if sign
    }
    if len(axes) > 1:
        raise one_axis()
    size = sum(float(part) / 60**place for place, part in enumerate(parts))
    marks = [written[name].strip() for name in ("mark", "next") if written[name]]
    is_negative = written["sign"] == "-" or letter in ("S", "W", "O")
    return Angle(
        -size if is_negative else size,
        next(iter(axes), ""),
        ("decimal", "minutes", "seconds")[len(parts) - 1],
        _last_digit(parts[-1]) / 60 ** (len(parts) - 1),
        is_marked=all(marks),
        has_degree_sign="°" in written[0],
        is_o=letter == "O",
    )


def _parts(written: re.Match[str], text: str) -> list[str]:
    """Degrees, minutes and seconds, as many as there are. Raises NotAPlace."""
    parts = [
        written[name] for name in ("degrees", "minutes", "seconds") if written[name] is not None
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
    """The letter of an angle, of NSEWO, or "". Raises NotAPlace where there is another sign."""
    letters = [
        letter.upper() for letter in (written["before"], written["after"]) if letter is not None
    ]
    if len(letters) > 1 or (letters and written["sign"] == "-"):
        raise NotAPlace(
            say(
                "“{text}” has two signs. Write either a minus or a letter, once.", text=text[:SHOWN]
            )
        )
    return letters[0] if letters else ""


def one_axis() -> NotAPlace:
    """The refusal of two latitudes, and of two longitudes."""
    return NotAPlace(
        say(
            "Both numbers have letters of one axis: N and S belong to latitudes, E and W to "
            "longitudes."
        )
    )

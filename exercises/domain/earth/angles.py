"""Angles as a compass gives them: degrees, clockwise from a named north, in [0, 360).

Differences are reading minus answer, in (-180, 180]. Directions are averaged as vectors, never as
numbers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from ..words import say
from .angle_units import DEGREES, AngleUnit
from .plain_text import narrow

MILS_PER_CIRCLE = 6400  # NATO mil; FM 3-25.26 ch. 6
LONGEST_TEXT = 40  # characters; no bearing that a person writes is longer


class NotABearing(ValueError):
    """A text that gives no direction. The message says what was wrong and what to write instead."""


class PerhapsMils(NotABearing):
    """A four-digit whole number that can only be mils; `mils` holds it. Ask the person, do not
    guess.
    """

    def __init__(self, text: str, mils: int) -> None:
        super().__init__(
            say(
                "“{text}” is more than 360. If you read the scale marked in mils, say so; "
                "otherwise use a number from 0 to 360.",
                text=text,
            )
        )
        self.mils = mils


@dataclass(frozen=True)
class Written:
    """What a person wrote, as an angle: `degrees` in [0, 360). `unit` is the one that was asked,
    that of their compass; `mils` is set where they wrote mils though degrees were asked (else
    None).
    """

    degrees: float
    mils: float | None = None
    unit: AngleUnit = DEGREES

    @property
    def number(self) -> float:
        """The number that stands there, in the unit that was asked; to a millionth, so that 1316
        mils come back as 1316.
        """
        return round(self.unit.number(self.degrees), 6)


def wrap(angle_deg: float) -> float:
    """The same direction in [0, 360).

    >>> wrap(-10), wrap(360.0), wrap(725)
    (350.0, 0.0, 5.0)
    """
    wrapped = float(angle_deg) % 360.0
    return 0.0 if wrapped >= 360.0 else wrapped  # -1e-17 % 360.0 is 360.0


def difference(reading_deg: float, answer_deg: float) -> float:
    """Reading minus answer the short way round, in (-180, 180]; positive is clockwise of the
    answer.

    >>> difference(359, 1), difference(1, 359), difference(0, 180)
    (-2.0, 2.0, 180.0)
    """
    error = math.remainder(reading_deg - answer_deg, 360.0)
    return 180.0 if error == -180.0 else error


def back(bearing_deg: float) -> float:
    """The reciprocal on a flat sheet: bearing plus or minus 180, in [0, 360).

    Over the ellipsoid the bearing at the far end differs a little from this: by 0.1 degree over
    5 km at latitude 65.
    """
    return wrap(bearing_deg + 180.0)


def to_mils(angle_deg: float) -> float:
    """Degrees as NATO mils, 6400 to the circle."""
    return angle_deg * MILS_PER_CIRCLE / 360.0


def from_mils(mils: float) -> float:
    """NATO mils, 6400 to the circle, as degrees."""
    return mils * 360.0 / MILS_PER_CIRCLE


def mean_vector(
    angles_deg: Iterable[float], weights: Iterable[float] | None = None
) -> tuple[float | None, float]:
    """Mean direction in [0, 360) and mean resultant length in [0, 1] of a non-empty sequence of
    directions.

    The direction is None when the directions cancel (length below 1e-9): there is no mean to give.
    Source: Fisher (1993), Statistical Analysis of Circular Data, 2.3.1; Zar (2010), 26.4.
    """
    angles = [math.radians(angle_deg) for angle_deg in angles_deg]
    shares = [1.0] * len(angles) if weights is None else list(weights)
    total = math.fsum(shares)
    east = math.fsum(w * math.sin(a) for a, w in zip(angles, shares, strict=True)) / total
    north = math.fsum(w * math.cos(a) for a, w in zip(angles, shares, strict=True)) / total
    length = min(1.0, math.hypot(east, north))
    if length < 1e-9:
        return None, 0.0
    return wrap(math.degrees(math.atan2(east, north))), length


def circular_mean(
    angles_deg: Iterable[float], weights: Iterable[float] | None = None
) -> float | None:
    """Mean direction of some directions, in [0, 360), or None when they cancel.

    >>> circular_mean([359, 1])
    0.0
    """
    mean_deg, _ = mean_vector(angles_deg, weights)
    return None if mean_deg is None else wrap(round(mean_deg, 9))


def circular_spread(angles_deg: Iterable[float], weights: Iterable[float] | None = None) -> float:
    """Circular standard deviation in degrees, sqrt(-2 ln R); infinite when the directions cancel.

    Source: Mardia & Jupp (2000), Directional Statistics, 2.3.14.
    """
    _, length = mean_vector(angles_deg, weights)
    return math.inf if length == 0.0 else math.degrees(math.sqrt(max(0.0, -2.0 * math.log(length))))


def three_digits(bearing_deg: float, decimals: int = 0) -> str:
    """A bearing as it is said and printed: always three digits before the point.

    >>> three_digits(7.4), three_digits(359.7), three_digits(74.25, decimals=1)
    ('007', '000', '074.2')
    """
    rounded = wrap(round(wrap(bearing_deg), decimals))
    return f"{rounded:0{3 + (decimals + 1 if decimals else 0)}.{decimals}f}"


def signed(error_deg: float, decimals: int = 0) -> str:
    """An error in text with its sign, and a true minus: `+4`, `−12`, `0`.

    >>> signed(4.4), signed(-12), signed(-0.2)
    ('+4', '−12', '0')
    """
    text = f"{abs(error_deg):.{decimals}f}"
    if float(text) == 0:
        return text
    return f"{'+' if error_deg > 0 else '−'}{text}"


# the words of the languages that the screens speak
DEGREE_WORDS = r"(?:°|deg|degs|degree|degrees|grados?)?"
WHOLE_CIRCLE = re.compile(rf"(\d{{1,3}}(?:\.\d{{1,6}})?)\s*{DEGREE_WORDS}")
QUADRANT = re.compile(
    rf"([ns])\s*(\d{{1,2}}(?:\.\d{{1,6}})?)\s*{DEGREE_WORDS}\s*([ewo])"
)  # O is the west of Spanish dials
MILS = re.compile(r"(\d{1,4})\s*(?:mils?|milésimas?)")
FOUR_DIGITS = re.compile(r"[1-9]\d{3}")


def plain(text: str) -> str:
    """What was typed in lower case, ASCII digits and point: full-width and other scripts' digits,
    look-alike degree signs, comma decimals.
    """
    return re.sub(r"(?<=\d),(?=\d)", ".", narrow(text).strip().lower())


def parse_bearing(text: str) -> Written:
    """What a person typed for a bearing, as `Written`. Refuses, in words, whatever could be read in
    two ways.

    Takes `74`, `074`, `74.5`, `74,5`, `74°`, `74 deg`, `N74E`, `S 20 W`, `1315 mil`, full-width
    digits, spaces around. 360 is north. Raises PerhapsMils for a bare whole number of four digits
    up to 6400, NotABearing for the rest.

    >>> parse_bearing(" S 20 W ").degrees
    200.0
    """
    shown = text.strip()[:LONGEST_TEXT]
    if not shown:
        raise NotABearing(say("Nothing was entered. Give the bearing as a number from 0 to 360."))
    typed = plain(text) if len(text) <= LONGEST_TEXT else ""
    if match := WHOLE_CIRCLE.fullmatch(typed):
        degrees = float(match[1])
        if degrees > 360.0:
            raise NotABearing(
                say("“{text}” is more than a full circle. Use a number from 0 to 360.", text=shown)
            )
        return Written(wrap(degrees))
    if match := QUADRANT.fullmatch(typed):
        return Written(_quadrant(match[1], float(match[2]), match[3], shown))
    if match := MILS.fullmatch(typed):
        return written_in_mils(int(match[1]))
    if FOUR_DIGITS.fullmatch(typed) and int(typed) <= MILS_PER_CIRCLE:
        raise PerhapsMils(shown, int(typed))
    raise _no_bearing(typed, shown)


def _no_bearing(typed: str, shown: str) -> NotABearing:
    """The refusal of a text that has no form of a bearing."""
    if re.match(r"[-−–+]\s*\d", typed):
        return NotABearing(
            say(
                "“{text}” has a sign. A bearing runs clockwise from north: use a number from 0 "
                "to 360.",
                text=shown,
            )
        )
    return NotABearing(
        say(
            "“{text}” is not a bearing. Use a number from 0 to 360, such as 074, or a form such "
            "as N74E.",
            text=shown,
        )
    )


def parse_bearing_on_paper(text: str) -> Written:
    """As `parse_bearing`, for a sheet that cannot be asked: a whole number over 360 is kept and
    read as mils.
    """
    try:
        return parse_bearing(text)
    except PerhapsMils as asked:
        return written_in_mils(asked.mils)
    except NotABearing:
        typed = plain(text[: LONGEST_TEXT + 1])
        if re.fullmatch(r"\d{3}(\.0+)?", typed) and float(typed) > 360:
            return written_in_mils(int(float(typed)))
        raise


def written_in_mils(mils: int) -> Written:
    """A number of mils as a direction. Raises NotABearing above 6400."""
    if not 0 <= mils <= MILS_PER_CIRCLE:
        raise NotABearing(
            say(
                "“{mils} mil” is more than a full circle. Mils go from 0 to {most}.",
                mils=mils,
                most=MILS_PER_CIRCLE,
            )
        )
    return Written(wrap(from_mils(mils)), float(mils))


def _quadrant(from_pole: str, acute_deg: float, towards: str, shown: str) -> float:
    """A quadrant bearing such as S 20 W as a whole-circle bearing. Raises NotABearing above 90
    degrees.
    """
    if acute_deg > 90.0:
        raise NotABearing(
            say(
                "“{text}” is not a bearing: between N or S and E or W stands an angle from 0 to "
                "90.",
                text=shown,
            )
        )
    turned = acute_deg if towards == "e" else -acute_deg
    return wrap(turned) if from_pole == "n" else wrap(180.0 - turned)

"""A latitude and a longitude in one text: every way in which it can be parted into two angles.

Commas are decimal marks or separators, letters belong to the number before or after: all of it is
tried, and what makes two whole angles is a reading. Which of several is meant is not decided here.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..words import say
from .angle_notation import (
    LATITUDE,
    LONGITUDE,
    SHOWN,
    Angle,
    NotAPlace,
    angle_of,
    in_signs,
    one_axis,
)
from .position import Position, PositionOutOfRange

LONGEST = 120  # characters; a pair of angles in words has some eighty
MOST_COMMAS = 4  # between figures: two decimal marks, two separators; each is tried both ways
WRITTEN = re.compile(r"[-+0-9.,;:=/°'\"\sNSEWOφλ|]*", re.IGNORECASE)
FIGURES = "0123456789."
ENDS, BEGINS = "NSEWOnsewoφλ°'\"", "NSEWOnsewoφλ-+"  # of an angle
COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")


class NoPair(NotAPlace):
    """Two angles, each right for itself, that are no place together: nearer to what was meant."""


@dataclass(frozen=True)
class Pair:
    """One reading of a text as two angles, in degrees. `doubt` says why only a site near by can
    confirm it: "order" for the longitude first, "commas" for commas that could mean something
    else, "letter" for an O that is east; "" where nothing speaks against it.
    """

    latitude: Angle
    longitude: Angle
    doubt: str = ""


def read_pairs(text: str) -> list[Pair]:
    """All readings of a text as a pair of angles, without repetition; none where it has another
    form. Raises NotAPlace where it has the form of a pair but none can be meant.
    """
    bare = text[1:-1] if re.fullmatch(r"\(.*\)|\[.*\]", text) else text
    bare = re.sub(r"\s+(?:and|y)\s+", " ; ", bare, flags=re.IGNORECASE).rstrip(" .,;/")
    if len(bare) > LONGEST or len(COMMA.findall(bare)) > MOST_COMMAS:
        return []
    found: dict[tuple[float, float], Pair] = {}
    complaints: list[NotAPlace] = []
    for way in in_signs(bare):
        if not WRITTEN.fullmatch(way):
            continue
        for parted in _with_commas(way):
            for pair in _meant(parted, complaints):
                key = (pair.latitude.degrees, pair.longitude.degrees)
                if key not in found or not pair.doubt:
                    found[key] = pair
    if not found and complaints:
        raise min(complaints, key=lambda complaint: not isinstance(complaint, NoPair))
    return list(found.values())


@dataclass(frozen=True)
class Parted:
    """A text with points as decimal marks and bars as separators, in one way that may be meant.
    `mixes` says that commas and points are decimal marks in it, `is_doubtful` that a comma between
    figures is taken for a separator though it may be a decimal mark.
    """

    text: str
    mixes: bool
    is_doubtful: bool


def _with_commas(text: str) -> Iterator[Parted]:
    """Every way to read the commas between figures of a text."""
    places = [comma.start() for comma in COMMA.finditer(text)]
    has_points = re.search(r"[0-9]\.[0-9]", text) is not None
    for marks in itertools.product(".|", repeat=len(places)):
        written = list(text)
        for place, mark in zip(places, marks, strict=True):
            written[place] = mark
        yield Parted(
            re.sub(r"\s*[,;/]\s*", "|", "".join(written)),
            mixes="." in marks and has_points,
            is_doubtful="|" in marks and not has_points,
        )


def _meant(parted: Parted, complaints: list[NotAPlace]) -> Iterator[Pair]:
    """The pairs that a parted text can be; what speaks against others goes to `complaints`."""
    for halves in _halves(parted.text):
        try:
            first, second = map(angle_of, halves)
            if not first or not second:
                continue
            if not _are_parted(first, second, parted.text):
                continue
            if parted.mixes:
                raise _mixed(parted.text)
            yield from _ordered(first, second, "commas" if parted.is_doubtful else "")
        except NotAPlace as error:
            complaints.append(error)


def _halves(parted: str) -> Iterator[tuple[str, str]]:
    """A text parted in two: at its one bar, or without one wherever a number can end."""
    if parted.count("|") > 1:
        return
    if "|" in parted:
        first, _, second = parted.partition("|")
        yield first.strip(), second.strip()
        return
    for place in range(1, len(parted)):
        before, after = parted[place - 1], parted[place]
        is_dash = after in "-+" and before in FIGURES and parted[0] not in "-+"
        if after == " " or before in ENDS or (after in BEGINS and not is_dash):
            yield parted[:place].strip(), parted[place:].strip()


def _are_parted(first: Angle, second: Angle, text: str) -> bool:
    """Whether signs, letters, decimals or a separator say where one angle ends and the other
    begins: `45° 07` is no pair. Raises NoPair where one has more parts than the other and no signs
    between them: in `45 12 170` nobody knows whose the 12 is.
    """
    is_alike = first.has_degree_sign == second.has_degree_sign
    if first.notation == second.notation:
        has_letters = bool(first.axis and second.axis)
        return is_alike or "|" in text or first.step_deg < 1.0 or has_letters
    if first.is_marked and second.is_marked and first.has_degree_sign and is_alike:
        return True
    if not is_alike:
        return False
    raise NoPair(
        say(
            "“{text}”: the two numbers are not written alike. Write degrees in both, or degrees "
            "and minutes in both.",
            text=text.replace("|", ", ")[:SHOWN],
        )
    )


def _mixed(text: str) -> NoPair:
    """The refusal of a decimal comma in one number and a point in the other: a slip of a
    spreadsheet, not a place.
    """
    return NoPair(
        say(
            "“{text}” mixes decimal points and decimal commas. Use one of them in both numbers.",
            text=text[:SHOWN],
        )
    )


def _ordered(first: Angle, second: Angle, doubt: str) -> Iterator[Pair]:
    """The readings of two angles as latitude and longitude: in that order, in the order that their
    letters say, or against the order where nothing says. Raises NotAPlace.
    """
    if first.axis and first.axis == second.axis:
        raise NoPair(one_axis().args[0])
    is_exchanged = first.axis == LONGITUDE or second.axis == LATITUDE
    latitude, longitude = (second, first) if is_exchanged else (first, second)
    straight = Pair(latitude, longitude, doubt)
    turned = Pair(longitude, latitude, "order")
    readings = [straight] if first.axis or second.axis else [straight, turned]
    on_earth = [pair for pair in readings if is_on_earth(pair)]
    for pair in on_earth:
        yield pair
        if pair.longitude.is_o:
            yield replace(pair, longitude=pair.longitude.eastwards, doubt="letter")
    if straight not in on_earth:
        raise beyond(straight)


def is_on_earth(pair: Pair) -> bool:
    """Whether latitude and longitude stay within 90 and 180 degrees."""
    return abs(pair.latitude.degrees) <= 90.0 and abs(pair.longitude.degrees) <= 180.0


def beyond(pair: Pair) -> NoPair:
    """The refusal of a pair that is not on the Earth."""
    latitude_deg, longitude_deg = pair.latitude.degrees, pair.longitude.degrees
    if abs(latitude_deg) > 90.0 >= abs(longitude_deg):
        return NoPair(
            say(
                "Latitude {latitude} is more than 90: are latitude and longitude exchanged?",
                latitude=f"{latitude_deg:g}",
            )
        )
    try:
        Position(latitude_deg, longitude_deg)
    except PositionOutOfRange as error:
        return NoPair(error.args[0])
    raise ValueError(pair)  # it is on the Earth

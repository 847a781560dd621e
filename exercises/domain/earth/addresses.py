"""What a telephone shares: a geo link, or the address of a map with a pair of decimal degrees.

Only the address itself is read. Words beside it are passed over and kept, to be shown; figures
beside it that are no part of the same place are refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..words import say
from .angle_notation import LATITUDE, LONGITUDE, SHOWN, NotAPlace, read_angle
from .pair_notation import Pair, beyond, is_on_earth

ADDRESS = re.compile(r"geo:\s?[^\s(]*(?:\([^)]*\))?|https?://\S+", re.IGNORECASE)
DEGREES = r"[-+]?[0-9]{1,3}(?:\.[0-9]{1,20})?"
# RFC 5870, 3.3: latitude, longitude, perhaps height; parameters. A question is Android's addition.
LINK = re.compile(
    rf"geo:\s?({DEGREES}),({DEGREES})(?:,(-?[0-9]{{1,5}}(?:\.[0-9]+)?))?((?:;[\w-]+(?:=[^;?\s]*)?)*)"
    r"(?:\?[^\s]*)?",
    re.IGNORECASE,
)
ASKED = re.compile(r"geo:\s?0(?:\.0+)?,0(?:\.0+)?\?q=(.*)", re.IGNORECASE)
PAIR = re.compile(
    r"(?<![0-9.])([-+]?[0-9]{1,2}\.[0-9]{2,20})\s*(?:,|%2C|/|!4d)\s*"
    r"([-+]?[0-9]{1,3}\.[0-9]{2,20})(?![0-9.])",
    re.IGNORECASE,
)
# what follows a pair in an address and is no zoom: a third number that nobody explains
THIRD = re.compile(r"(?:,|%2C)\s*[-+]?[0-9]+(?:\.[0-9]+)?(?![0-9.a-z])", re.IGNORECASE)


@dataclass(frozen=True)
class Shared:
    """What a shared text says: pairs of angles, all of which must be one place, with whether a geo
    link named them; height and uncertainty in metres or None; and what stands beside the address.
    """

    pairs: tuple[Pair, ...]
    is_link: bool
    beside: str
    height_m: float | None = None
    uncertainty_m: float | None = None


def read_shared(text: str) -> Shared | None:
    """What a text with an address in it says; None for one without. Raises NotAPlace."""
    addresses = ADDRESS.findall(text)
    if not addresses:
        return None
    beside = " ".join(ADDRESS.sub(" ", text).split())
    link = LINK.fullmatch(addresses[0].rstrip(".,;"))
    if len(addresses) == 1 and link and not ASKED.match(addresses[0]):
        return _linked(link, beside)
    pairs: list[Pair] = []
    for address in addresses:
        found = list(PAIR.finditer(address))
        if found and THIRD.match(address, found[-1].end()):
            raise _left_over(address[found[-1].end() :])
        pairs += [_pair(pair[1], pair[2]) for pair in found]
    return Shared(tuple(pairs), False, beside)


def _left_over(text: str) -> NotAPlace:
    """The refusal of a number that follows a place in an address."""
    return NotAPlace(
        say(
            "“{text}” follows the place in the address. Paste latitude and longitude alone.",
            text=text[:SHOWN],
        )
    )


def _pair(latitude: str, longitude: str) -> Pair:
    """Two numbers of an address, latitude first. Raises NotAPlace outside the Earth."""
    pair = Pair(read_angle(latitude, LATITUDE), read_angle(longitude, LONGITUDE))
    if not is_on_earth(pair):
        raise beyond(pair)
    return pair


def _linked(link: re.Match[str], beside: str) -> Shared:
    """What a geo link says; its `u` is the uncertainty in metres."""
    crs = re.search(r";crs=([\w-]+)", link[4], re.IGNORECASE)
    if crs and crs[1].lower() != "wgs84":
        raise NotAPlace(
            say(
                "The link is in the system “{crs}”. Use one in WGS 84, or the map grid's own "
                "numbers.",
                crs=crs[1][:20],
            )
        )
    stated = re.search(r";u=([0-9]{1,5}(?:\.[0-9]{1,6})?)(?=;|$)", link[4], re.IGNORECASE)
    return Shared(
        (_pair(link[1], link[2]),),
        True,
        beside,
        float(link[3]) if link[3] else None,
        float(stated[1]) if stated else None,
    )

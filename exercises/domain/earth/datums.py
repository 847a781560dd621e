"""How far a change of datum can be trusted: what PROJ says of an operation, judged."""

from __future__ import annotations

from dataclasses import dataclass

# what PROJ calls a change of datum that it leaves out for want of parameters; proj.org, glossary
LEFT_OUT = "Ballpark geo"
# Frames laid round the Earth's middle by satellites: left unshifted they are metres off, no more.
# Names of EPSG 12.033 that begin so; looked through one by one with the sweep of test_datums.py.
# The ellipsoid tells nothing: GGRS87 has that of GRS 1980 and lies 326 m off.
SATELLITE_FRAMES = (
    "China 2000",
    "ETRS89/",
    "European Terrestrial Reference",
    "Geocentric Datum of Australia",
    "IGS",
    "IGb",
    "International Terrestrial Reference Frame",
    "Israeli Geodetic Datum 2005",
    "Latvian coordinate system 2020",
    "NAD83 (",
    "North American Datum 1983",
    "North American Datum of 1983",
    "SIRGAS",
    "World Geodetic System 1984",
)
# EPSG's own figure for NAD83 to WGS 84 (1), the worst that it states between two such frames
UNSTATED_M = 4.0
UNKNOWN_M = 999.0  # EPSG's way to say that nobody knows how good an operation is


@dataclass(frozen=True)
class Change:
    """How coordinates came to WGS 84: the operation's name, and its standard uncertainty in metres
    or None where no datum was changed. `is_stated` is false where EPSG states none, and UNSTATED_M
    stands instead.
    """

    name: str = ""
    uncertainty_m: float | None = None
    is_stated: bool = True


UNCHANGED = Change()


def is_trusted(datum: str, description: str, accuracy_m: float) -> bool:
    """Whether an operation brings coordinates to where they are: false where it leaves out an old
    datum's shift, and where its accuracy is unknown.
    """
    if LEFT_OUT in description:
        return datum.startswith(SATELLITE_FRAMES)
    return accuracy_m < UNKNOWN_M


def change(system: str, conversion: str, description: str, accuracy_m: float) -> Change:
    """The `Change` of a trusted operation, from what PROJ says of it; `conversion` is the name of
    the grid's own projection. An accuracy below zero is PROJ's way to say that none is stated.
    """
    own = (conversion, f"Inverse of {conversion}", "Null geographic offset from WGS 84")
    steps = [
        step
        for step in description.split(" + ")
        if not step.startswith(("axis order", LEFT_OUT)) and not (conversion and step in own)
    ]
    is_stated = LEFT_OUT not in description and accuracy_m >= 0.0
    return Change(", ".join([system, *steps]), accuracy_m if is_stated else UNSTATED_M, is_stated)

"""A bearing that an instructor read on the ground, beside what it should be."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ...earth.angles import difference
from ...earth.uncertainty import rounding

# one careful sighting by an instructor, one sigma: half a tick of 2 degrees, and the aim; common
# practice, no source. What a set of sightings really scatters is learnt from it (`attraction`).
READING_DEG = 1.0
# steps to which people read, the coarsest first, degrees
STEPS_DEG = (5.0, 2.0, 1.0, 0.5, 0.1)
# The codes of both ends in alphabetical order, or of a shadow its station, "" and its bearing.
LineName = tuple[str, str] | tuple[str, str, float]


@dataclass(frozen=True, order=True)
class Instrument:
    """A compass as it was noted: its number, and the north that it was said to show, `magnetic` or
    `true`.
    """

    compass: str
    north: str

    @property
    def noted_otherwise(self) -> Instrument:
        """The same compass, noted to show the other of the two."""
        return Instrument(self.compass, "true" if self.north == "magnetic" else "magnetic")


@dataclass(frozen=True)
class Sighting:
    """A bearing read with a compass at a station, degrees magnetic. `target` is empty for the sun's
    shadow.

    `computed_deg` is the magnetic bearing from coordinates or the sun, None where nothing is known;
    `computed_error_deg` its standard uncertainty. `true_deg` and `distance_m` are the line's true
    bearing and length from coordinates, None where they are not known. `north` is what the compass
    was noted to show, and `declination_deg` (east positive) what was taken off where that was true.
    """

    station: str
    target: str
    bearing_deg: float
    compass: str = ""
    reading_error_deg: float = READING_DEG
    computed_deg: float | None = None
    computed_error_deg: float = 0.0
    true_deg: float | None = None
    distance_m: float | None = None
    north: str = "magnetic"
    declination_deg: float = 0.0

    @property
    def line(self) -> LineName:
        """What fore and back bearing have in common; a shadow is a line of its own."""
        if not self.target:
            return self.station, "", self.bearing_deg
        return min(self.station, self.target), max(self.station, self.target)

    @property
    def instrument(self) -> Instrument:
        """The compass, as it was noted."""
        return Instrument(self.compass, self.north)

    @property
    def as_noted_deg(self) -> float:
        """The number that was read off, in the north that was noted."""
        return self.bearing_deg + (self.declination_deg if self.north == "true" else 0.0)

    @property
    def off_deg(self) -> float | None:
        """Observed minus computed, or None."""
        if self.computed_deg is None:
            return None
        return difference(self.bearing_deg, self.computed_deg)

    @property
    def misnoted_deg(self) -> float:
        """What it is off by where the compass was set for the declination but noted as not set, or
        noted as set but was not.
        """
        return self.declination_deg if self.north == "magnetic" else -self.declination_deg


def rounding_deg(sightings: Iterable[Sighting]) -> float:
    """The standard uncertainty from the step to which all of some sightings were read: the coarsest
    of STEPS_DEG that every number is a multiple of, degrees.

    >>> round(rounding_deg([Sighting("A", "B", 40.0), Sighting("B", "A", 221.0)]), 3)
    0.289
    """
    read = [sighting.as_noted_deg for sighting in sightings]
    for step in STEPS_DEG:
        if all(abs(math.remainder(degrees, step)) < 1e-6 for degrees in read):
            return rounding(step)
    return 0.0

"""A bearing that an instructor read on the ground, beside what it should be."""

from __future__ import annotations

from dataclasses import dataclass

from ..earth.angles import difference

# one careful sighting by an instructor, one sigma: half a tick of 2 degrees, and the aim; common
# practice, no source
READING_DEG = 1.0
# The codes of both ends in alphabetical order, or of a shadow its station, "" and its bearing.
LineName = tuple[str, str] | tuple[str, str, float]


@dataclass(frozen=True)
class Sighting:
    """A bearing read with a compass at a station, degrees magnetic. `target` is empty for the sun's
    shadow.

    `computed_deg` is the magnetic bearing from coordinates or the sun, None where nothing is known;
    `computed_error_deg` its standard uncertainty. `true_deg` and `distance_m` are the line's true
    bearing and length from coordinates, None where they are not known.
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

    @property
    def line(self) -> LineName:
        """What fore and back bearing have in common; a shadow is a line of its own."""
        if not self.target:
            return self.station, "", self.bearing_deg
        return min(self.station, self.target), max(self.station, self.target)

    @property
    def off_deg(self) -> float | None:
        """Observed minus computed, or None."""
        if self.computed_deg is None:
            return None
        return difference(self.bearing_deg, self.computed_deg)

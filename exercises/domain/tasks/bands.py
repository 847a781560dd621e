"""Tolerance bands, and how much credit an error earns in one."""

from __future__ import annotations

from dataclasses import dataclass

from ..words import say

FULL, PARTIAL, NONE = 1.0, 0.5, 0.0


class BadBand(ValueError):
    """A band whose limits make no sense."""


@dataclass(frozen=True)
class Band:
    """Degrees either side of the answer, limits included: full credit, then partial credit out to
    the second.
    """

    full_credit_deg: float
    part_credit_deg: float

    def __post_init__(self) -> None:
        if not 0 < self.full_credit_deg <= self.part_credit_deg <= 180:
            raise BadBand(
                say(
                    "The full-credit tolerance must be above 0, and the part-credit one at least "
                    "as wide, up to 180."
                )
            )

    def credit(self, error_deg: float) -> float:
        """1, 0.5 or 0 for a signed error in degrees. A hair's breadth of rounding is forgiven at
        the limits.
        """
        size = abs(error_deg) - 1e-9
        if size <= self.full_credit_deg:
            return FULL
        return PARTIAL if size <= self.part_credit_deg else NONE

    def widened(self, full_credit_deg: float | None) -> Band:
        """This band for a person who cannot read as finely: never narrower, partial credit
        stretched alike.
        """
        if not full_credit_deg or full_credit_deg <= self.full_credit_deg:
            return self
        stretch = full_credit_deg / self.full_credit_deg
        return Band(full_credit_deg, min(180.0, self.part_credit_deg * stretch))


@dataclass(frozen=True)
class Preset:
    """A band that suits some purpose (its code in PRESETS), with where its figure comes from."""

    band: Band
    source: str


PRESETS = {
    "paper": Preset(
        Band(2, 4),
        "US Army STP 21-1-SMCT, measure a grid azimuth: 1; school mark schemes: 2",
    ),
    "sighted": Preset(
        Band(3, 6),
        "US Army STP 21-1-SMCT, azimuth compass-to-cheek: 3",
    ),
    "usual": Preset(Band(5, 10), "flight instructor test, hold a heading: 5; common practice"),
    "beginner": Preset(Band(10, 20), "US Army STP 21-1-SMCT, centre-hold: 10"),
}

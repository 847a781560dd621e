"""The declination as the sun's shadow shows it: what a compass reads along a shadow, taken off the
shadow's true bearing.

The compass's own error is in it, as in every declination that is observed with a compass; several
compasses lessen it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...earth.magnetics import Declination
from .attraction import SOUND_DEG, Ground
from .sighting import Sighting

CLEARLY = 2.0  # standard uncertainties: 95 % of a normal


@dataclass(frozen=True)
class ObservedDeclination:
    """The declination from shadows beside the model's, degrees, east positive.

    `error_deg` is the standard error from reading, clock and shadow's edge; `compass_error_deg`
    what the limits of the compasses add. `stations` are where the shadows were read.
    """

    degrees: float
    error_deg: float
    compass_error_deg: float
    model: Declination
    shadows: int
    stations: tuple[str, ...]

    @property
    def difference_deg(self) -> float:
        """Observed minus the model's."""
        return self.degrees - self.model.degrees

    @property
    def differs(self) -> bool:
        """Whether it is further from the model's than both, and sound compasses, allow at 95 %."""
        allowed = math.hypot(self.error_deg, self.compass_error_deg, self.model.uncertainty_deg)
        return abs(self.difference_deg) > CLEARLY * allowed


def observed_declination(
    sightings: Sequence[Sighting], ground: Ground, model: Declination
) -> ObservedDeclination | None:
    """What the shadows among some sightings say, as `ObservedDeclination`; None without any at
    stations that do not bend the needle.

    The mean over shadows of true bearing minus reading. Readings err each for itself, by what
    `ground` has learnt of them; the clock and the shadow's edge err alike for all, and do not
    average out. Shadows of a compass that was probably noted wrongly are left out; one on which the
    declination was set shows the rest of it.
    """
    shadows = [sighting for sighting in sightings if _tells(sighting, ground)]
    if not shadows:
        return None
    number = len(shadows)
    off_deg = math.fsum(shadow.off_deg or 0.0 for shadow in shadows) / number
    read2 = math.fsum(ground.reading_sigma_deg(shadow) ** 2 for shadow in shadows) / number**2
    common_deg = math.fsum(shadow.computed_error_deg for shadow in shadows) / number
    compasses = len({shadow.compass for shadow in shadows})
    return ObservedDeclination(
        model.degrees - off_deg,
        math.hypot(math.sqrt(read2), common_deg),
        SOUND_DEG / math.sqrt(compasses),
        model,
        number,
        tuple(sorted({shadow.station for shadow in shadows})),
    )


def _tells(sighting: Sighting, ground: Ground) -> bool:
    """Whether a sighting is a shadow that says something of the declination."""
    return (
        not sighting.target
        and sighting.off_deg is not None
        and ground.judgement(sighting.station) != "bent"
        and not ground.is_misnoted(sighting.instrument)
    )

"""All that is known of a piece of ground before anybody walks on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..surveying.ground.estimate import Estimate
from ..tasks.site import Site
from .hazards import Hazard


@dataclass(frozen=True)
class Surroundings:
    """A site, what bends needles or is dangerous there, and the stations that the check of the
    ground found at fault, with what their needle reads too much.
    """

    site: Site
    hazards: Sequence[Hazard] = ()
    bent: Mapping[str, Estimate] = field(default_factory=dict)

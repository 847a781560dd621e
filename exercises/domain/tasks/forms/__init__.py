"""What an answer can be: a bearing in figures, a target that is named, or a place.

A form owns all that depends on what an answer is: how it is read from a phone and from paper, kept
and restored, graded, and how likely it is by each prediction. An `Answer` carries its form; nothing
outside this room and that of the kinds asks which one it is.
"""

from ...earth.angles import NotABearing
from .bearing import Bearing
from .place import NotASpot, Place
from .target import NotATarget, Target

__all__ = ("UNREADABLE", "Bearing", "Place", "Target")
UNREADABLE = (NotABearing, NotATarget, NotASpot)  # what `parse` of a form raises

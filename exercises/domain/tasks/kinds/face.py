"""The field half of a bearing off the map: stand on the mark, face along what was measured, and
name the target that lies there.

A person goes on with their own number, right or wrong, so that this half shows what the hands do
with a bearing and the map half how it was measured.
"""

import math
from dataclasses import replace

from ...earth.angles import difference
from ...earth.norths import NORTH_WORDS
from ...words import say
from .follow import Follow


class Face(Follow):
    """The target along the bearing that the person measured in the task before."""

    code = "face"
    name = say("Face what you measured")
    norths = ("true", "grid")
    gives_bearing = False
    goes_on = True
    is_walked = is_proposed = False

    def prompt(self, station, target, north, given):
        """What is asked, in one sentence."""
        return say(
            "Turn the bearing that you measured from {north} to what your compass needs, and "
            "face along it. Which target lies there?",
            north=NORTH_WORDS[north],
        )

    def error_deg(self, answer, seen):
        """By how much farther than the nearest target the one named lies from the bearing that was
        faced, degrees: between two targets nobody can say which is meant.
        """
        off_deg, least_deg = (
            difference(direction_deg, answer.given_deg)
            for direction_deg in (self.direction(answer, seen), answer.expected_deg)
        )
        return math.copysign(max(0.0, abs(off_deg) - abs(least_deg)), off_deg)

    def going_on(self, answer, heard_deg):
        """The answer for a person who measured `heard_deg` in the asked north: whichever target
        lies along that.
        """
        return self.facing(replace(answer, given_deg=heard_deg))

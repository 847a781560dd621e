"""The parts of a task that not every kind has. Forms of the desk and columns of a table go by
these.
"""

TARGET = "target"  # a point to sight, to walk to, or to seek
KNOWN_POINTS = "known_points"  # further points of a position from bearings
LEGS = "legs"  # those of a walk before its last one
GIVEN = "given"  # a bearing that is given
FIELD_HALF = "field_half"  # it may be followed by facing along what was measured
DEGREES, METRES = "degrees", "metres"  # the band, in one or the other

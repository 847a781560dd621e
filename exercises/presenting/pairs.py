"""Pairs of tasks with the same bearing at two marks, in sentences."""

from ..drawing.plan import bearing_text
from ..languages import tell
from .answers.base import named


def pair_text(pair, points):
    """A pair of tasks with the same bearing, in sentences: where it leads from each mark, how far
    apart that is, and why the mark matters. `points` are those of a key, by code.
    """
    given = bearing_text(pair.given_deg, pair.north)
    return {
        "given": given,
        "leads": tell(
            "{given} leads from {one} to {target}, and from {other} to {other_target}.",
            given=given,
            one=named(pair.stations[0], points),
            target=named(pair.targets[0], points),
            other=named(pair.stations[1], points),
            other_target=named(pair.targets[1], points),
        ),
        "ends": tell(
            "The marks are {apart:.0f} m apart, the lines {aside:.0f} m, and the ends {ends:.0f} "
            "m: who starts at the wrong mark ends at the wrong thing, however well the bearing "
            "is followed.",
            apart=pair.apart_m,
            aside=pair.aside_m,
            ends=pair.ends_m,
        ),
        "turns": tell(
            "Seen the other way: with the wrong mark the bearing to a target turns by "
            "{near:.0f}° where it is {near_m:.0f} m away, by {middle:.0f}° at {middle_m:.0f} m "
            "and by {far:.0f}° at {far_m:.0f} m.",
            **dict(
                zip(
                    ("near_m", "near", "middle_m", "middle", "far_m", "far"),
                    (value for turn in pair.turns_deg for value in turn),
                    strict=True,
                )
            ),
        ),
    }

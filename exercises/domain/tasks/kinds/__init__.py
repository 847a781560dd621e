"""The register of task kinds. A kind is one object; the rest asks it and never looks at its name.

A kind knows what it needs (`needs_target`, `needs_more` points, `gives_bearing`, `has_legs`, and
whether a `has_field_half` may follow it), how it is asked (`prompt`, of the points that `parties`
names, from the `marks`), with what it is answered (`widget`: "bearing", "target" or "place") and in
which `norths`, what is right (`answer`, and `shifted` where the needle turned out to be off), how
an answer is read as a direction (`direction`), and what can go wrong (`predictions`).
`reads_needle` says whether an answer is judged with the ground and the compass that may have bent
it, `uses_compass` whether a needle is in the person's hand, `setting` which advice helps
(`causes`), `outcomes` what a prediction looks like once it is written down; `is_walked` that people
walk, along `ways_walked`; `is_proposed` that a course can be proposed of it. An answer that is a
place has no direction: such a kind says with `landings` where mistakes lead (`placed`, and
`place_diagnosis`).

For the map a kind says which points it must show (`on_map`) and must not (`sought_at`). A fix says
whether it `looks_from_known` points and what is `observed_deg` there, a walk its `given_legs`; a
kind that `goes_on` from a number of the person's own says with `going_on` what is right then.
"""

from ...earth.angles import NotABearing
from ...words import say
from ..places import NotASpot
from . import back, convert, face, fix, follow, map_bearing, sight, walk

REGISTER = {
    kind.code: kind
    for kind in (
        sight.Sight(),
        follow.Follow(),
        convert.Convert(),
        back.Back(),
        map_bearing.MapBearing(),
        face.Face(),
        fix.Resection(),
        fix.Intersection(),
        walk.Walk(),
    )
}


UNREADABLE = (NotABearing, follow.NotATarget, NotASpot)  # what `parse` of a kind raises


class UnknownKind(ValueError):
    """A code that no task kind has."""


def is_place(answer):
    """Whether an answer is a place, and no direction."""
    return kind_of(answer.kind).widget == "place"


def kind_of(code):
    """The kind of a code. Raises UnknownKind."""
    try:
        return REGISTER[code]
    except KeyError:
        raise UnknownKind(
            say(
                "“{code}” is not a kind of task. Use one of: {codes}.",
                code=code,
                codes=", ".join(REGISTER),
            )
        ) from None

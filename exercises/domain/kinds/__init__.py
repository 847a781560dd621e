"""The register of task kinds. A kind is one object; the rest asks it and never looks at its name.

A kind knows what it needs (`needs_target`, `gives_bearing`), how it is asked (`prompt`), with what it is answered (`widget`: "bearing" or
"target") and in which `norths`, what is right (`answer`, and `shifted` where the needle turned out to be off), how an answer is read as a direction
(`direction`), and what can go wrong (`predictions`). `reads_needle` says whether the ground and the compass can bend it, `setting` which advice helps (`causes`), `outcomes` what a
prediction looks like once it is written down; `is_walked` that people walk along the bearing, in the direction that `faced` gives.
"""
from ..words import say
from . import back, convert, follow, map_bearing, sight

REGISTER = {kind.code: kind for kind in (sight.Sight(), follow.Follow(), convert.Convert(), back.Back(), map_bearing.MapBearing())}


class UnknownKind(ValueError):
    """A code that no task kind has."""


def kind_of(code):
    """The kind of a code. Raises UnknownKind."""
    try:
        return REGISTER[code]
    except KeyError:
        raise UnknownKind(say("“{code}” is not a kind of task. Use one of: {codes}.", code=code, codes=", ".join(REGISTER))) from None

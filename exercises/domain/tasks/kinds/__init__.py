"""The register of task kinds. A kind is one object; the rest asks it and never looks at its name.

What a kind has is told in `base`. What its tasks are called and how they are asked stands in
`presenting/kinds.py`.
"""

from ...words import say
from ..answer import Answer
from . import back, convert, face, fix, follow, intersect, map_bearing, sight, walk
from .base import Kind

REGISTER: dict[str, Kind] = {
    kind.code: kind
    for kind in (
        sight.Sight(),
        follow.Follow(),
        convert.Convert(),
        back.Back(),
        map_bearing.MapBearing(),
        face.Face(),
        fix.Resection(),
        intersect.Intersection(),
        walk.Walk(),
    )
}
PROPOSED = tuple(code for code, kind in REGISTER.items() if kind.is_proposed)


class UnknownKind(ValueError):
    """A code that no task kind has."""


def kind_of(code: str) -> Kind:
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


def reads_needle(answer: Answer) -> bool:
    """Whether an answer is judged with the ground and the compass that may have bent the needle."""
    return kind_of(answer.kind).reads_needle

"""A rotation as plain values that JSON can hold, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from .rotation import Rotation
from .rotation_posts import Post
from .rotation_timing import Round, Walked
from .rotation_values import Asked, Group, Problem, Station, Way


def as_plain(rotation: Rotation) -> dict[str, Any]:
    """A rotation as dictionaries, lists, texts and numbers: minutes and metres as they are."""
    problem = rotation.problem
    return {
        "stations": [asdict(one) for one in problem.stations],
        "groups": [asdict(one) for one in problem.groups],
        "ways": [[start, end, asdict(way)] for (start, end), way in problem.ways.items()],
        "time": problem.minutes,
        "base": problem.base,
        "helpers": problem.helpers,
        "follow_limit": problem.follow_limit,
        "rounds": [asdict(one) for one in rotation.rounds],
        "walks": [asdict(one) for one in rotation.walks],
        "minutes": rotation.minutes,
        "posts": [asdict(one) for one in rotation.posts],
        "behind": rotation.behind,
        "follows": rotation.follows,
        "dropped": list(rotation.dropped),
        "lost": rotation.lost,
    }


def from_plain(plain: Mapping[str, Any]) -> Rotation:
    """The rotation of `as_plain`, also after JSON, which has no tuples."""
    return Rotation(
        problem=_problem(plain),
        rounds=tuple(Round(**{**one, "waits": tuple(one["waits"])}) for one in plain["rounds"]),
        walks=tuple(Walked(**one) for one in plain["walks"]),
        minutes=plain["minutes"],
        posts=tuple(Post(**one) for one in plain["posts"]),
        behind=plain["behind"],
        follows=plain["follows"],
        dropped=tuple(plain["dropped"]),
        lost=plain["lost"],
    )


def _problem(plain: Mapping[str, Any]) -> Problem:
    """The problem of a rotation."""
    return Problem(
        stations=tuple(_station(one) for one in plain["stations"]),
        groups=tuple(Group(**one) for one in plain["groups"]),
        ways={(start, end): _way(way) for start, end, way in plain["ways"]},
        minutes=plain["time"],
        base=plain["base"],
        helpers=plain["helpers"],
        follow_limit=plain["follow_limit"],
    )


def _station(plain: Mapping[str, Any]) -> Station:
    """A station with what it asks."""
    return Station(**{**plain, "asked": tuple(Asked(**one) for one in plain["asked"])})


def _way(plain: Mapping[str, Any]) -> Way:
    """A way between two marks."""
    return Way(**{**plain, "via": tuple(plain["via"]), "kept": tuple(plain["kept"])})

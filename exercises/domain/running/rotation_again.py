"""A group that skipped a station or came late is taken up again: what was, and a new plan for what
remains, as one rotation whose rounds are numbered on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from .rotation import Rotation
from .rotation_live import State, Visit, replan
from .rotation_posts import FIRST, Post, posts
from .rotation_rest import rest_as_planned
from .rotation_seen import Known
from .rotation_signals import turn_at
from .rotation_timing import Round


def taken_up(
    rotation: Rotation,
    seen: Known,
    now_min: float,
    *,
    rng: np.random.Generator,
    back_min: Mapping[str, float] | None = None,
) -> Rotation:
    """The rotation (`signalled`) with what remains planned anew, after the round that is under way
    or to which all walk.

    Its first rounds are those that were, with the stations at which groups truly were; numbers of
    rounds and minutes go on. `back_min`: of groups that are away, the minute at which each is back;
    such a group is not counted as being at the station of the round that is under way. What is
    planned already stays (`rest_as_planned`) where it serves as well as a new plan. The promises of
    `replan` hold for what remains. Raises NoRotation as it does.
    """
    away = dict(back_min or {})
    turn = turn_at(rotation, now_min)
    done = 0 if now_min < 0.0 else turn.number + 1 if turn else len(rotation.rounds)
    begun = rotation.rounds[:done]
    visits = _with_the_last(begun, seen, away)
    from_min = max(now_min, begun[-1].from_min if begun else 0.0)
    state = State(visits, away)
    ends_min = max([from_min, *(one.until_min for one in begun[-1:])])
    as_planned = rest_as_planned(rotation, rotation.rounds[done:], state, ends_min)
    left = _better(as_planned, replan(rotation, state, from_min, rng=rng))
    return replace(
        left,
        rounds=(*_as_they_were(begun, visits), *left.rounds),
        walks=(
            *(walk for walk in rotation.walks if walk.before < done),
            *(replace(walk, before=walk.before + done) for walk in left.walks),
        ),
        minutes=max(left.minutes, ends_min),
        posts=_posts_to_come(left, done),
        dropped=rotation.dropped,
        lost=rotation.lost,
    )


def _better(as_planned: Rotation | None, anew: Rotation) -> Rotation:
    """What is planned already, with what is missed put into it, unless a plan made anew gives more
    visits, or as many in fewer rounds.
    """
    if as_planned is None:
        return anew

    def worth(rotation: Rotation) -> tuple[int, int]:
        return sum(len(one.at) for one in rotation.rounds), -len(rotation.rounds)

    return anew if worth(anew) > worth(as_planned) else as_planned


def _with_the_last(
    begun: tuple[Round, ...], seen: Known, away: Mapping[str, float]
) -> tuple[Visit, ...]:
    """The visits so far, with those of the last round that has begun, or is about to, by the plan:
    but for who skips that station, has been there, or is away.
    """
    if not begun:
        return seen.visits
    last = begun[-1]
    kept = tuple(
        visit for visit in seen.visits if visit.group not in away or visit.from_min != last.from_min
    )
    had = {(visit.group, visit.station) for visit in kept}
    more = (
        Visit(group, station, last.from_min)
        for group, station in last.at.items()
        if group not in away
        and (group, station) not in had
        and station not in seen.skipped.get(group, ())
    )
    return (*kept, *more)


def _as_they_were(begun: tuple[Round, ...], visits: tuple[Visit, ...]) -> list[Round]:
    """Rounds with the stations at which groups were: the planned one of who was there, else one
    that was not planned so far, in the order in which they went; the others waited.
    """
    was: list[dict[str, str]] = [{} for _ in begun]
    for group in dict.fromkeys(code for one in begun for code in (*one.at, *one.waits)):
        mine = sorted((own for own in visits if own.group == group), key=lambda own: own.from_min)
        had = [own.station for own in mine]
        planned = [one.at.get(group) for one in begun]
        others = iter([station for station in had if station not in planned])
        for number, station in enumerate(planned):
            found = station if station in had else next(others, None)
            if found is not None:
                was[number][group] = found
    return [
        replace(one, at=at, waits=tuple(code for code in (*one.at, *one.waits) if code not in at))
        for one, at in zip(begun, was, strict=True)
    ]


def _posts_to_come(left: Rotation, done: int) -> tuple[Post, ...]:
    """Where helpers stand in the rounds that remain; what was new in the first round is not now."""
    return tuple(
        replace(post, from_round=post.from_round + done, until_round=post.until_round + done)
        for post in posts(left.problem, left.rounds, left.walks)
        if post.why != FIRST or not done
    )

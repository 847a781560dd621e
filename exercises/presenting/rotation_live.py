"""A rotation while it runs, in words: what all do, what each group should be doing, by how much it
is ahead or behind; and what a new plan changes.
"""

import uuid
import zoneinfo

from django.utils.formats import date_format
from django.utils.timezone import localtime

from ..domain.running.rotation_signals import CHANGE, next_stations, round_to_change, turn_at
from ..domain.words import together
from ..languages import tell, tell_many
from ..usecases.follow_rotation import follow, ways_of

MATTERS_MIN = 2.0  # by less nobody is called ahead or behind; no source
AHEAD, BEHIND, ON_TIME = "ahead", "behind", "on"


def rotation_now(course_class, now):
    """What runs in a class at a moment: the round in words, when it ends, and of each group where
    it should be, what it does and by how many minutes it is ahead (positive) or behind; None where
    no rotation runs.
    """
    followed = follow(course_class, now)
    return followed and now_text(followed, clock_of(course_class, followed.row))


def now_text(followed, clock):
    """The same of a rotation that is followed already."""
    turn = followed.turn
    return {
        "words": round_words(followed, clock),
        "round": turn.number + 1 if turn else None,
        "of": len(followed.rotation.rounds),
        "is_walk": bool(turn and turn.is_walk),
        "until": followed.row.moment(turn.until_min) if turn else None,
        "groups": [_group(followed, group.code) for group in followed.rotation.problem.groups],
    }


def clock_of(course_class, row):
    """A function from a minute of a rotation to the time of day in the class's zone."""
    zone = zoneinfo.ZoneInfo(course_class.time_zone)
    return lambda minute: date_format(localtime(row.moment(minute), zone), "H:i")


def round_words(followed, clock):
    """What all do, in words."""
    turn, of = followed.turn, len(followed.rotation.rounds)
    if turn is None:
        return tell("All rounds are over.")
    values = {"number": turn.number + 1, "of": of, "time": clock(turn.until_min)}
    if turn.is_walk:
        return tell("Walking to round {number} of {of}, which begins at {time}", **values)
    return tell("Round {number} of {of}, until {time}", **values)


def _group(followed, group):
    """What one group should be doing, and how it stands."""
    turn, rounds = followed.turn, followed.rotation.rounds
    station = rounds[turn.number].at.get(group, "") if turn else ""
    ahead_min = followed.ahead_min[group]
    silent = followed.seen.silent[group] if group not in followed.on_paper else ()
    return {
        "group": group,
        "station": station,
        "doing": _doing(turn, station),
        "ahead_min": ahead_min,
        "mark": _mark(ahead_min),
        "words": _standing(ahead_min),
        "silent": _silent_words(silent),
        "skipped": _skipped_words(followed, group),
        "mark_id": str(uuid.uuid4()),
    }


def _doing(turn, station):
    if turn is None:
        return tell("through")
    if not station:
        return tell("waits")
    return tell("on the way to {station}", station=station) if turn.is_walk else station


def _mark(ahead_min):
    """How a group stands, as a code."""
    if abs(ahead_min) < MATTERS_MIN:
        return ON_TIME
    return AHEAD if ahead_min > 0 else BEHIND


def _standing(ahead_min):
    """How a group stands, in words, with a mark that does without colour."""
    minutes = round(abs(ahead_min))
    mark = _mark(ahead_min)
    if mark == ON_TIME:
        return tell("● on time")
    if mark == AHEAD:
        return tell("▲ {minutes} min ahead", minutes=minutes)
    return tell("▼ {minutes} min behind", minutes=minutes)


def _silent_words(stations):
    """From where nothing was heard, where it should have been."""
    if not stations:
        return ""
    return tell("nothing heard from {stations}", stations=together(list(stations), ", "))


def _skipped_words(followed, group):
    """What a group skipped and does not come to any more."""
    to_come = {
        one.at.get(group) for one in followed.rotation.rounds if one.from_min > followed.now_min
    }
    left = [code for code in followed.seen.skipped[group] if code not in to_come]
    return tell("skipped {stations}", stations=together(left, ", ")) if left else ""


def live_state(followed, clock):
    """What the live page asks for again and again; small. Moments are seconds since 1970."""
    return {
        "version": followed.row.version,
        "now": round(_seconds(followed.row, followed.now_min), 1),
        "signals": [
            [signal.what, signal.round, round(_seconds(followed.row, signal.minute))]
            for signal in followed.signals
        ],
        "groups": {
            one["group"]: [one["mark"], one["words"], one["silent"], one["skipped"]]
            for one in (_group(followed, group.code) for group in followed.rotation.problem.groups)
        },
        "at": clock(followed.now_min),
    }


def live_plan(followed):
    """What the live page knows from the beginning: rounds as planned, by seconds since 1970."""
    row = followed.row
    return {
        "version": row.version,
        "rounds": [
            [_seconds(row, one.from_min), _seconds(row, one.until_min), one.at]
            for one in followed.planned.rounds
        ],
        "groups": [group.code for group in followed.planned.problem.groups],
        "zone": row.course_class.time_zone,
    }


def _seconds(row, minute):
    """A minute of a rotation as seconds since 1970."""
    return row.moment(minute).timestamp()


def phone_rotation(course_class, people):
    """What the phone of some people is told of the rotation: by group where it goes and when, when
    all are through, and the last signal to change. Nothing where none runs, or none of their groups
    goes round. No direction: the way to a station could be the answer of a task.
    """
    ways = ways_of(course_class, people) if course_class.is_open else None
    if ways is None:
        return {}
    clock, row, rounds = clock_of(course_class, ways.row), ways.row, ways.rotation.rounds
    told = {
        "groups": [
            [
                group,
                [
                    [code, clock(minute), round(_seconds(row, minute))]
                    for code, minute in next_stations(ways.rotation, group)
                ],
            ]
            for group in ways.groups
        ],
        "ends": [clock(ways.rotation.minutes), round(_seconds(row, ways.rotation.minutes))],
    }
    changes = [one for one in ways.signals if one.what == CHANGE and one.round + 1 < len(rounds)]
    if changes:
        last = max(changes, key=lambda one: (one.round, -one.minute))
        after = rounds[last.round + 1]
        told["change"] = [
            round(_seconds(row, last.minute)),
            round(_seconds(row, after.until_min)),
            [after.at.get(group, "") for group in ways.groups],
        ]
    return {"rotation": told}


def changes_text(followed, planned, clock):
    """What a new plan changes: of each group the stations to come, before and after, and when all
    are through.
    """
    turn = turn_at(followed.rotation, followed.now_min)
    done = turn.number + 1 if turn else len(followed.rotation.rounds)
    groups = [group.code for group in planned.problem.groups]
    return {
        "ends": tell(
            "All are through at {after} instead of {before}.",
            before=clock(followed.rotation.minutes),
            after=clock(planned.minutes),
        ),
        "rows": [
            {
                "group": group,
                "before": _stops(followed.rotation, group, done, clock),
                "after": _stops(planned, group, done, clock),
            }
            for group in groups
        ],
        "misses": [
            tell_many(
                "{group} misses {stations}: there is no time for it.",
                "{group} misses {stations}: there is no time for them.",
                len(stations),
                group=group,
                stations=together(list(stations), ", "),
            )
            for group, stations in planned.misses.items()
        ],
    }


def _stops(rotation, group, done, clock):
    """Where a group goes after some rounds, with the time of each."""
    stops = [
        f"{one.at[group]} {clock(one.from_min)}"
        for one in rotation.rounds[done:]
        if group in one.at
    ]
    return together(stops, ", ") if stops else tell("through")


def button_round(followed):
    """The number of the round that a signal would end now, from 0, or None."""
    return round_to_change(followed.rotation, followed.now_min)

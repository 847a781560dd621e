"""A rotation as a page shows it: a row for each group, a column for each round by the clock, who
stands where, and what does not fit.
"""

import zoneinfo
from datetime import datetime, timedelta

from django.utils.timezone import localtime

from ..domain.running.rotation_posts import CROSSING, DANGER, FIRST
from ..domain.words import together
from ..languages import tell, tell_many
from .lengths import desk_length

ANY_DAY = datetime(2000, 1, 1)  # clock times alone are shown


def rotation_text(rotation, begin):
    """A rotation that begins at a time of day, ready to print."""
    start = datetime.combine(ANY_DAY, begin)
    return {
        "times": [
            f"{_clock(start, one.from_min)}–{_clock(start, one.until_min)}"
            for one in rotation.rounds
        ],
        "rows": [_row(rotation, group) for group in rotation.problem.groups],
        "ends": tell("All are through at {time}.", time=_clock(start, rotation.minutes)),
        "posts": [_post(post, rotation, start) for post in rotation.posts],
        "notes": list(_notes(rotation)),
    }


def kept_text(row):
    """A rotation that was kept, ready to print: by the clock where the class is."""
    rotation, zone = row.as_domain(), zoneinfo.ZoneInfo(row.course_class.time_zone)
    starts_at = localtime(row.starts_at, zone)
    stations = [one.code for one in rotation.problem.stations]
    return {
        "row": row,
        "begin": f"{starts_at:%H:%M}",
        "helpers": [(code, row.helpers.get(code, "")) for code in stations],
        **rotation_text(rotation, starts_at.time()),
    }


def _clock(start, minutes):
    """A time of day, minutes from the start."""
    return f"{start + timedelta(minutes=round(minutes)):%H:%M}"


def _row(rotation, group):
    """Where a group is in each round, and how far it walks."""
    return {
        "group": group.code,
        "at": [one.at.get(group.code, "") for one in rotation.rounds],
        "walks": desk_length(rotation.walked_m[group.code]),
    }


def _post(post, rotation, start):
    """Where somebody should stand, from when until when, and why."""
    values = {
        "station": post.station,
        "from": _clock(start, rotation.rounds[post.from_round].from_min),
        "until": _clock(
            start,
            rotation.rounds[min(post.until_round, len(rotation.rounds)) - 1].until_min,
        ),
        "end": post.end,
    }
    return POSTS[post.why](values)


POSTS = {
    DANGER: lambda values: tell(
        "{station}, {from} to {until}: a danger is near; somebody stays there.", **values
    ),
    CROSSING: lambda values: tell(
        "Between {station} and {end}, {from} to {until}: keep the crossing.", **values
    ),
    FIRST: lambda values: tell(
        "{station}, {from} to {until}: everything is done for the first time there.", **values
    ),
}


def _notes(rotation):
    """What does not fit, and what could not be kept apart."""
    if rotation.dropped:
        yield tell_many(
            "Task {tasks} is left out: there is no time for it, and it tells least.",
            "Tasks {tasks} are left out: there is no time for them, and they tell least.",
            len(rotation.dropped),
            tasks=together(list(rotation.dropped), ", "),
        )
    for group, stations in rotation.misses.items():
        yield tell(
            "{group} does not get to {stations}.",
            group=group,
            stations=together(list(stations), ", "),
        )
    for group, rounds in rotation.waits.items():
        if rounds:
            yield tell_many(
                "{group} waits {number} round: there are more groups than places.",
                "{group} waits {number} rounds: there are more groups than places.",
                rounds,
                group=group,
            )
    if rotation.behind:
        yield tell("Some groups walk right behind the same one twice: watch that they do not copy.")

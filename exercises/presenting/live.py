"""A class while it is out, as those who run it see it: first signs, who is where, of whom nothing
was heard, which phones hold readings, and what was noted.
"""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass
from datetime import timedelta

from django.utils.formats import date_format
from django.utils.timezone import localtime

from ..domain.earth import geodesy
from ..domain.running.first_signs import About
from ..domain.running.whereabouts import last_given, silent, stations_now
from ..drawing.stations_now import stations_now as drawn
from ..languages import tell, tell_many
from .first_signs import signs_text

SILENT_MINUTES = (10, 15, 20, 30)  # of which one is chosen
USUAL_MINUTES = 15
LATEST_NOTES = 50


@dataclass(frozen=True)
class StationText:
    """A station in words: its code and name, its mark ("empty", "here", "been", "look") and what
    that means, who is there and how many, how many people and readings there were, and when last.
    """

    code: str
    name: str
    mark: str
    words: str
    names: str
    here: int
    people: int
    readings: int
    last: str


def live_text(watched, now, minutes=USUAL_MINUTES):
    """Everything that the live page shows, ready to print, of `watch_class.Watched`. `minutes` is
    after how long somebody is named of whom nothing was heard.
    """
    course_class, points, people = watched.course_class, watched.points, watched.people
    zone = zoneinfo.ZoneInfo(course_class.time_zone)
    signs = signs_text(watched.signs, points, course_class.time_zone)
    bent = {sign.subject for sign in signs if sign.about == About.STATION and not sign.is_done}
    stations = [
        _station(found, points[found.code]["name"], people, found.code in bent, zone)
        for found in stations_now(watched.stations, watched.given, now)
    ]
    return {
        "signs": signs,
        "stations": stations,
        "drawing": _drawing(course_class.course.site, stations, points),
        "silent": _silent(watched, now, minutes, zone),
        "holding": _holding(people, watched.phones, zone),
        "numbers": _numbers(people, watched.given),
        "notes": [
            (_time(note.at, zone), note.by, note.station, note.words)
            for note in course_class.notes.all()[:LATEST_NOTES]
        ],
        "time": _time(now, zone),
    }


def _time(moment, zone):
    return date_format(localtime(moment, zone), "H:i")


def _station(found, name, people, is_bent, zone):
    """A station as it stands now."""
    here = [people[person].name for person in found.here if person in people]
    mark = "look" if is_bent else "here" if here else "been" if found.readings else "empty"
    return StationText(
        found.code,
        name,
        mark,
        _station_words(found, here, is_bent),
        ", ".join(sorted(here, key=str.casefold)),
        len(here),
        found.people,
        found.readings,
        tell("last {time}", time=_time(found.last, zone)) if found.last else "",
    )


def _station_words(found, here, is_bent):
    """What is to be said of a station in two or three words."""
    if is_bent:
        return tell("check the mark")
    if here:
        return tell_many("{number} here", "{number} here", len(here))
    return tell("nobody now") if found.readings else tell("nobody yet")


def _drawing(site, stations, points):
    """The stations where they lie; nothing where there are none yet."""
    if not stations:
        return ""
    positions = {
        code: geodesy.Position(points[code]["latitude"], points[code]["longitude"])
        for code in points
    }
    shown = [
        (station.code, station.mark, "" if station.mark == "been" else station.words)
        for station in stations
    ]
    return drawn(
        site.position(), shown, positions, tell("The stations, true north up, and who is there.")
    )


def _silent(watched, now, minutes, zone):
    """Of whom nothing was heard for so long: (name, when and where last), the longest first."""
    last = last_given(watched.given)
    heard = {person: one.at for person, one in last.items()}
    for person, (at, _) in watched.phones.items():
        heard[person] = max(at, heard.get(person, at))
    opened = watched.course_class.opened_at
    if opened is None or watched.course_class.closed_at is not None:
        return []
    since = {pk: max(opened, person.joined_at or opened) for pk, person in watched.people.items()}
    return [
        (watched.people[pk].name, _last_words(last.get(pk), watched.phones.get(pk), zone))
        for pk in silent(since, heard, now, timedelta(minutes=minutes))
    ]


def _last_words(given, phone, zone):
    """When and where somebody was last heard of."""
    words = []
    if given:
        words.append(
            tell("read at {station} {time}", station=given.station, time=_time(given.at, zone))
        )
    if phone:
        words.append(tell("phone heard {time}", time=_time(phone[0], zone)))
    return ", ".join(words) or tell("nothing heard yet")


def _holding(people, phones, zone):
    """Whose phones hold readings, as they last said: (name, how many and since when)."""
    return [
        (
            people[pk].name,
            tell_many(
                "{number} reading not sent, {time}",
                "{number} readings not sent, {time}",
                unsent,
                time=_time(at, zone),
            ),
        )
        for pk, (at, unsent) in phones.items()
        if unsent and pk in people
    ]


def _numbers(people, given):
    """How many people and readings there are."""
    return (
        tell_many("{number} person", "{number} people", len(people)),
        tell_many("{number} reading", "{number} readings", len(given)),
    )

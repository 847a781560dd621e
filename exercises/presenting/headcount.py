"""A count of heads as a page and its script show it."""

import uuid
import zoneinfo

from django.utils.formats import date_format
from django.utils.timezone import localtime

from ..domain.running import headcount as domain
from ..domain.tasks.kinds import kind_of
from ..languages import tell, tell_many
from ..usecases import count_heads


def count_text(headcount):
    """A count: how many are missing, and each name with the last word on it, ready to print, those
    who are missing first in the order of the list.
    """
    zone = zoneinfo.ZoneInfo(headcount.course_class.time_zone)
    heard = count_heads.last_heard(headcount.course_class)
    stations = _stations(headcount.course_class)
    held = count_heads.compasses_held(headcount.course_class)
    people = [
        {
            "id": person.pk,
            "name": person.name,
            "group": person.group.name if person.group else "",
            "compass": _compasses(held.get(person.pk, [])),
            "here": entry.is_here,
            "said": _said(entry, zone),
            "last": _heard(heard.get(person.pk), stations, zone),
            "mark": str(uuid.uuid4()),
        }
        for person, entry in count_heads.count(headcount)
    ]
    missing = sum(not person["here"] for person in people)
    return {
        "missing": missing,
        "of": len(people),
        "words": missing_words(missing),
        "people": people,
    }


def _compasses(numbers):
    """Which compasses somebody has, in words; nothing of none."""
    if not numbers:
        return ""
    if len(numbers) == 1:
        return tell("compass {number}", number=numbers[0])
    return tell("compasses {numbers}", numbers=", ".join(numbers))


def missing_words(number):
    """How many are missing, in words."""
    if not number:
        return tell("Everybody is here")
    return tell_many("{number} missing", "{number} missing", number)


def closing_text(course_class):
    """The last count after which a class may go home: what it says, and who is not back by it; no
    count where none was begun for that.
    """
    last = course_class.headcounts.filter(occasion="after").first()
    if last is None:
        return {"headcount": None, "missing": []}
    count = count_text(last)
    return {
        "headcount": last,
        "words": count["words"],
        "missing": [person for person in count["people"] if not person["here"]],
    }


def earlier_text(course_class, headcounts):
    """Earlier counts: (count, how many were missing in words)."""
    people = [str(pk) for pk in course_class.people.expected().values_list("pk", flat=True)]
    return [
        (
            headcount,
            missing_words(
                len(
                    domain.missing(
                        domain.counted(people, [mark.as_domain() for mark in headcount.marks.all()])
                    )
                )
            ),
        )
        for headcount in headcounts
    ]


def _said(entry, zone):
    """Who said what last, and who said something else."""
    if entry.last is None:
        return ""
    words = [_word(mark, zone) for mark in (entry.last, *entry.others)]
    return " · ".join(words)


def _word(mark, zone):
    values = {"who": mark.by, "time": _time(mark.marked_at, zone)}
    if mark.is_here:
        return tell("{who}, {time}: here", **values)
    return tell("{who}, {time}: not here", **values)


def _heard(last, stations, zone):
    """When and where somebody was last heard of."""
    if last is None:
        return tell("nothing heard yet")
    return tell(
        "last heard of {time} at {station}",
        time=_time(last.at, zone),
        station=stations.get(last.task, tell("task {task}", task=last.task)),
    )


def _stations(course_class):
    """The station of each task of the key, by the task's label."""
    key = course_class.keys.order_by("-version").first()
    if key is None:
        return {}
    return {
        answer.task: ", ".join(kind_of(answer.kind).marks(answer)) for answer in key.as_domain()
    }


def _time(moment, zone):
    return date_format(localtime(moment, zone), "H:i")

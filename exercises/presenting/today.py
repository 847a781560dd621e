"""The first page after signing in: the class that comes first with its next step, the others, and
for who is new what comes next.
"""

import zoneinfo
from dataclasses import dataclass

from django.urls import reverse
from django.utils.timezone import localdate

from ..domain.running.agenda import Held, Step, first_of, step_of
from ..domain.words import say
from ..languages import told

# what each step is called, and where it is taken
STEPS = {
    Step.PREPARE: (say("Prepare it"), "class"),
    Step.OPEN: (say("Open it"), "class_opening"),
    Step.WATCH: (say("See who is where"), "live"),
    Step.CLOSE: (say("Close it"), "class_closing"),
    Step.RELEASE: (say("Release the feedback"), "class"),
    Step.DEBRIEF: (say("Debrief"), "debrief"),
}


@dataclass(frozen=True)
class Front:
    """The class that stands on top, whether it is today, what to do with it, and where."""

    course_class: object
    is_today: bool
    words: str
    address: str


def front(classes):
    """The class that comes first, or None. `classes` are those of an instructor."""
    by_date = [(course_class, _held(course_class)) for course_class in classes]
    if not by_date:
        return None
    today = max(_today(course_class) for course_class, _ in by_date)  # where it is latest
    course_class = first_of(by_date, today)
    held = _held(course_class, has_more=course_class.has_more_to_tell())
    words, name = STEPS[step_of(held, _today(course_class))]
    return Front(
        course_class,
        course_class.date == _today(course_class),
        told(words),
        reverse(name, args=[course_class.pk]),
    )


def _held(course_class, *, has_more=False):
    """What the step of a class depends on."""
    is_draft = course_class.state == "draft"
    return Held(course_class.date, is_draft, course_class.is_open, has_more)


def _today(course_class):
    """The day at the site."""
    return localdate(timezone=zoneinfo.ZoneInfo(course_class.time_zone))


def by_year(classes, found):
    """Classes that were held, newest first, by the year; those that are draft or open, and all that
    a search found, stand outside: (present, [(year, classes)]).
    """
    if found:
        return list(classes), []
    present = [one for one in classes if one.state != "closed"]
    years = {}
    for one in classes:
        if one.state == "closed":
            years.setdefault(one.date.year, []).append(one)
    return present, list(years.items())


def first_steps(sites):
    """For who has no class yet, the steps to one: (words, address, whether it is done), each of
    which can be left and found again. `sites` have their points and courses counted.
    """
    site = sites[0] if sites else None
    address = reverse("site", args=[site.pk]) if site else ""
    course = site.courses.kept().first() if site else None
    done = {
        "site": site is not None,
        "points": bool(site and site.stations_count and site.targets_count),
        "course": bool(course and course.tasks.exists()),
    }
    return [
        (told(say("Make a site: the piece of ground")), reverse("site_new"), done["site"]),
        (told(say("Bring in its points: where to stand, what to sight")), address, done["points"]),
        (
            told(say("Plan a course: a handful of tasks")),
            reverse("course", args=[course.pk]) if course else address,
            done["course"],
        ),
        (
            told(say("Make a class of it, and show its code")),
            reverse("course", args=[course.pk]) if course else "",
            False,
        ),
    ]

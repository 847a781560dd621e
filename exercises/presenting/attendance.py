"""The attendance of a class as a table for a spreadsheet: one record a person."""

import zoneinfo

from django.utils.timezone import localtime

COLUMNS = ("person", "group", "was_there", "came_at", "left_early_at")


def attendance_columns(found, course_class):
    """The columns: those of a person, then each count by its occasion and moment."""
    zone = zoneinfo.ZoneInfo(course_class.time_zone)
    return (
        *COLUMNS,
        *(f"count_{count.occasion} {_moment(count.begun_at, zone)}" for count in found.counts),
    )


def attendance_records(found, course_class):
    """A record for each person on the list, by name; those taken out have none."""
    zone = zoneinfo.ZoneInfo(course_class.time_zone)
    for person, attended in found.people:
        if person.taken_out_at is None:
            yield (
                person.name,
                person.group.name if person.group else "",
                "yes" if attended.was_there else "no",
                _moment(attended.came_at, zone),
                _moment(attended.left_at, zone),
                *attended.counts,
            )


def _moment(moment, zone):
    """A moment where the class is, to the minute; empty of none."""
    return localtime(moment, zone).strftime("%Y-%m-%d %H:%M") if moment else ""

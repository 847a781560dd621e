"""A kit in words: each compass as its log leaves it and where it is now, what the next class needs,
the log of one.
"""

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.earth.angle_units import unit_of
from ..domain.running import kit as domain
from ..domain.running.kit import Condition, Event
from ..domain.words import say
from ..languages import tell, tell_many, tell_signed, told
from .counted import as_counted
from .units import angles_in

CONDITIONS = {
    Condition.SOUND: say("sound"),
    Condition.UNCHECKED: say("never checked"),
    Condition.WITHDRAWN: say("withdrawn"),
}
# what is looked for before a class, each with where it is from
LOOKED_FOR = (
    say("The needle swings freely and comes to rest on the same number twice."),
    say("Held level, the needle is level too and touches nothing."),
    say("No bubble wider than 6 mm (“Compass Bubble”, compass-howto.com)."),
    say("The plate is whole, the dial turns, its numbers and lines can be read."),
)


def in_order(compasses):
    """Compasses as one counts them, 2 before 10."""
    return sorted(compasses, key=lambda compass: as_counted(compass.number))


def kit_text(compasses, own_classes):
    """A kit as a table: a row for each compass, and what the next class needs. `compasses` have
    their logs and where they are; `own_classes` are the keys of the classes whose people the reader
    may know.
    """
    ordered = in_order(compasses)
    standings = {compass.number: domain.standing(compass.log()) for compass in ordered}
    return {
        "rows": [row(compass, standings[compass.number], own_classes) for compass in ordered],
        "needs": needs_text(domain.needs(standings)),
    }


def row(compass, standing, own_classes):
    """One compass: what it is, how it is, where it is, when it was last sighted with."""
    return {
        "compass": compass,
        "what": what_text(compass),
        "state": state_text(standing),
        "is_odd": standing.condition in (Condition.FAULTY, Condition.WITHDRAWN),
        "is_withdrawn": standing.is_withdrawn,
        "where": where_text(compass.out[0], own_classes) if compass.out else "",
        "checked": _day(standing.checked_on) if standing.checked_on else "—",
    }


def what_text(compass):
    """A compass's kind and dial in short: `baseplate, 2°, adjustable`."""
    step = angles_in(unit_of(compass.unit)).step(compass.graduation_deg)
    adjustable = tell("adjustable") if compass.is_adjustable else ""
    return ", ".join(filter(None, (compass.kind, step, adjustable)))


def state_text(standing):
    """How a compass is: withdrawn, its faults, sound, or never checked."""
    said = [_fault(fault) for fault in standing.faults]
    if standing.is_withdrawn:
        said.insert(0, told(CONDITIONS[Condition.WITHDRAWN]))
    return "; ".join(said) or told(CONDITIONS[standing.condition])


def _fault(entry):
    """A fault as its entry has it."""
    if entry.event == Event.OFF and entry.offset_deg is not None:
        return tell("{degrees}° off", degrees=tell_signed(entry.offset_deg, 1))
    return told(vocabulary.KIT_ENTRIES[entry.event])


def where_text(issue, own_classes):
    """Where a compass is that is out: with whom in a class of the reader's, else with a class."""
    day = _day(issue.course_class.date)
    if issue.course_class_id not in own_classes:
        return tell("out with a class of {day}", day=day)
    return tell("with {name}, {class_name}", name=holder(issue), class_name=issue.course_class.name)


def holder(issue):
    """Who has a compass."""
    if issue.person and not issue.person.taken_out_at:
        return (issue.person.same_as or issue.person).name
    if issue.group_name:
        return tell("group {name}", name=issue.group_name)
    return tell("somebody who was taken out")


def needs_text(needs):
    """What the next class needs, in sentences; nothing of an empty kit."""
    said = [tell_many("{number} is usable.", "{number} are usable.", needs.usable)]
    if needs.faulty:
        said.append(tell("To mend or withdraw: {numbers}.", numbers=", ".join(needs.faulty)))
    if needs.withdrawn:
        said.append(tell("Withdrawn: {numbers}.", numbers=", ".join(needs.withdrawn)))
    if needs.unchecked:
        said.append(tell("Never checked: {numbers}.", numbers=", ".join(needs.unchecked)))
    return said


def log_text(entries, own_classes):
    """The log of a compass, the latest first: (day, who, what, in words, of which class)."""
    return [
        {
            "day": _day(entry.at),
            "by": entry.by_name,
            "what": _entry_text(entry),
            "words": entry.words,
            "course_class": entry.course_class and class_text(entry.course_class, own_classes),
        }
        for entry in reversed(entries)
    ]


def _entry_text(entry):
    what = told(vocabulary.KIT_ENTRIES[Event(entry.event)])
    if entry.offset_deg is None or entry.event == Event.REVERSED:
        return what
    return _with_degrees(what, entry.offset_deg, entry.error_deg)


def _with_degrees(what, offset_deg, error_deg):
    """What was found, with by how much it is off; 95 % where its error is known."""
    if error_deg is None:
        return tell("{what}, {degrees}°", what=what, degrees=tell_signed(offset_deg, 1))
    return tell(
        "{what}, {degrees} ± {error:.1f}°",
        what=what,
        degrees=tell_signed(offset_deg, 1),
        error=1.96 * error_deg,
    )


def class_text(course_class, own_classes):
    """A class as a reader may know it: by its name, or by its day."""
    day = _day(course_class.date)
    if course_class.pk in own_classes:
        return f"{course_class.name}, {day}"
    return tell("a class of {day}", day=day)


def written_text(number):
    """How many entries were written just now."""
    return tell_many(
        "{number} entry written into the kit’s log.",
        "{number} entries written into the kit’s log.",
        number,
    )


def log_offer(found):
    """What a class's readings say to the log of its kit: (number, what), and whether all of it
    stands there. `found` holds `Measured` with whether each is written.
    """
    return {
        "lines": [(one.number, measured_text(one)) for one, _ in found],
        "is_written": all(is_written for _, is_written in found),
    }


def measured_text(measured):
    """What was found of a compass, as it is written into the log."""
    what = told(vocabulary.KIT_ENTRIES[measured.event])
    if measured.event == Event.REVERSED:
        return what
    return _with_degrees(what, measured.offset_deg, measured.error_deg)


def said_text(said, own_classes):
    """What classes found of a compass, each as (class, what)."""
    return [(class_text(course_class, own_classes), _said(found)) for course_class, found in said]


def _said(found):
    offset = found["offset"]
    if found["reversed_probability"] >= domain.SURE:
        return told(vocabulary.KIT_ENTRIES[Event.REVERSED])
    return tell(
        "{degrees} ± {error:.1f}°",
        degrees=tell_signed(offset["degrees"], 1),
        error=1.96 * offset["error_deg"],
    )


def _day(moment):
    return date_format(moment, "SHORT_DATE_FORMAT")

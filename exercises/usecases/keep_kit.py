"""Keep a kit: its numbers, the log of each compass, what a check or a class found of them, and what
the diagnosis of the next class is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from .. import kit_queries
from ..domain.diagnosis import compass_known
from ..domain.diagnosis.diagnosis import Diagnosis
from ..domain.running import kit as domain
from ..domain.running.kit import Event, Measured
from ..domain.words import say
from ..models import CourseClass, Kit, KitCompass, KitEntry
from . import trail


class CannotKeep(ValueError):
    """A change of a kit that is not possible. The message says why and what to do."""


@transaction.atomic
def add_compasses(
    *, kit: Kit, numbers: Sequence[str], instrument: Mapping[str, Any]
) -> tuple[int, int]:
    """Put numbers into a kit, all of one event; those that are in it stay as they are. Returns how
    many are new, and how many were there. Raises CannotKeep for too many.
    """
    Kit.objects.select_for_update().get(pk=kit.pk)
    there = set(kit.compasses.values_list("number", flat=True))
    new = [number for number in numbers if number not in there]
    if len(there) + len(new) > domain.MOST_COMPASSES:
        raise CannotKeep(say("A kit holds {most} compasses.", most=domain.MOST_COMPASSES))
    KitCompass.objects.bulk_create(
        KitCompass(kit=kit, number=number, **instrument) for number in new
    )
    return len(new), len(numbers) - len(new)


@transaction.atomic
def remove_compass(*, compass: KitCompass) -> None:
    """Take a number out of a kit that was put in by mistake. Raises CannotKeep for one that has a
    history.
    """
    if compass.entries.exists() or compass.issues.exists():
        raise CannotKeep(
            say(
                "Compass {number} has a history: withdraw it instead, so that its number is not "
                "mistaken for another’s.",
                number=compass.number,
            )
        )
    compass.delete()


@transaction.atomic
def remove_kit(*, kit: Kit) -> None:
    """Take away a kit that holds nothing. Raises CannotKeep for one with compasses in it."""
    if kit.compasses.exists():
        raise CannotKeep(say("Compasses are in this kit: it stays."))
    kit.delete()


@transaction.atomic
def write(
    *,
    compass: KitCompass,
    event: Event,
    by: trail.By,
    now: datetime,
    offset_deg: float | None = None,
    error_deg: float | None = None,
    words: str = "",
    course_class: CourseClass | None = None,
    token: str = "",
) -> bool:
    """Write an entry into a compass's log, and withdraw it or take it back where the entry says so.
    Returns whether it is new: what comes twice with one token is written once, and a compass that
    is withdrawn is not withdrawn again.
    """
    row = KitCompass.objects.select_for_update().get(pk=compass.pk)
    is_no_news = (event == Event.WITHDRAWN and row.withdrawn_at is not None) or (
        event == Event.BACK and row.withdrawn_at is None
    )
    if is_no_news or (token and row.entries.filter(token=token).exists()):
        return False
    KitEntry.objects.create(
        compass=row,
        at=now,
        by_name=by.name,
        event=event,
        offset_deg=offset_deg,
        error_deg=error_deg,
        words=words,
        course_class=course_class,
        token=token,
    )
    if event in (Event.WITHDRAWN, Event.BACK):
        row.withdrawn_at = now if event == Event.WITHDRAWN else None
        row.save(update_fields=["withdrawn_at"])
    return True


@transaction.atomic
def write_measured(
    *,
    kit: Kit,
    measured: Iterable[Measured],
    by: trail.By,
    now: datetime,
    token: str,
    withdraws: bool = False,
    course_class: CourseClass | None = None,
) -> int:
    """Write what was found of compasses into their logs, of those that are in the kit; and withdraw
    the odd ones, if that is wanted. Returns how many entries are new.
    """
    there = {compass.number: compass for compass in kit.compasses.all()}
    written = 0
    for one in measured:
        if one.number not in there:
            continue
        entry: dict[str, Any] = {
            "compass": there[one.number],
            "by": by,
            "now": now,
            "course_class": course_class,
        }
        written += write(
            event=one.event,
            offset_deg=round(one.offset_deg, 2),
            error_deg=round(one.error_deg, 2),
            token=f"{token} {one.event}",
            **entry,
        )
        if withdraws and one.event != Event.CHECKED:
            write(event=Event.WITHDRAWN, token=f"{token} {Event.WITHDRAWN}", **entry)
    return written


def found_in_class(course_class: CourseClass, found: Diagnosis) -> list[tuple[Measured, bool]]:
    """What the diagnosis of a class says to the log of its kit, each with whether it stands there
    already; nothing where no kit went out.
    """
    if course_class.kit is None:
        return []
    rows = KitEntry.objects.filter(
        compass__kit=course_class.kit, token__startswith=f"{_of_class(course_class)} "
    )
    written = set(rows.values_list("compass__number", "event"))
    measured = domain.of_class(found.compasses, standings(course_class.kit))
    return [(one, (one.number, one.event.value) in written) for one in measured]


def write_found_in_class(
    *, course_class: CourseClass, found: Diagnosis, by: trail.By, now: datetime
) -> int:
    """Write that into the log; twice writes nothing more. Returns how many entries are new."""
    if course_class.kit is None:
        return 0
    return write_measured(
        kit=course_class.kit,
        measured=[one for one, _ in found_in_class(course_class, found)],
        by=by,
        now=now,
        token=_of_class(course_class),
        course_class=course_class,
    )


def _of_class(course_class: CourseClass) -> str:
    """The token of what a class's own readings say."""
    return f"class {course_class.pk}"


def standing(compass: KitCompass) -> domain.Standing:
    """A compass as its log leaves it."""
    return domain.standing(compass.log())


def standings(kit: Kit) -> dict[str, domain.Standing]:
    """Each compass of a kit as its log leaves it, by number."""
    return {compass.number: standing(compass) for compass in kit_queries.kit_compasses(kit)}


def known_before(course_class: CourseClass, on: date) -> dict[str, Any]:
    """What the log of a class's kit tells of its compasses on a day, as JSON can hold it."""
    if course_class.kit is None:
        return {}
    known = {
        compass.number: domain.known(compass.log(), on)
        for compass in kit_queries.kit_compasses(course_class.kit)
    }
    return compass_known.to_plain({number: one for number, one in known.items() if one})


def is_withdrawn(course_class: CourseClass, number: str) -> bool:
    """Whether a compass of the kit that goes out with a class was withdrawn."""
    return bool(
        number
        and course_class.kit_id
        and KitCompass.objects.filter(
            kit=course_class.kit_id, number=number, withdrawn_at__isnull=False
        ).exists()
    )

"""What an instructor's own classes have taught the diagnosis, ready to print."""

from django.utils import timezone
from django.utils.formats import date_format

from ..domain.diagnosis import priors
from ..domain.mistakes import causes
from ..domain.words import say, say_many
from ..languages import local, tell, tell_many, told
from .causes import name_of


def belief_tables(sharpened):
    """(heading, rows) of what is believed of a class before it reads; each row has a name, the
    stated share and the one that the instructor's classes made of it.
    """
    stated = priors.STATED
    habits = [
        (_name(code, say("no habit")), local(f"{before:.1%}"), local(f"{after:.1%}"))
        for code, before, after in zip(priors.HABITS, stated.habits, sharpened.habits, strict=True)
    ]
    slips = [
        (_name(code, say("none")), local(f"{before:.1%}"), local(f"{after:.1%}"))
        for code, before, after in zip(causes.CODES, stated.slips, sharpened.slips, strict=True)
        if before > 0
    ]
    sigmas = [
        (local(f"{sigma:g}°"), f"{before:.0%}", f"{after:.0%}")
        for sigma, before, after in zip(
            priors.SIGMAS_DEG, stated.sigmas, sharpened.sigmas, strict=True
        )
    ]
    return [
        (tell("Habits, share of people"), habits),
        (tell("Slips, share of readings"), slips),
        (tell("Scatter of a sound reading"), sigmas),
        (tell("What else a class is like"), _others(stated, sharpened)),
    ]


def _others(stated, sharpened):
    """Rows of the single rates."""
    shares = (
        ("followed", tell("a habit is followed")),
        ("own_large", tell("people whose compass is off or set")),
        ("tail", tell("sound readings that scatter three times as wide")),
        ("poor", tell("readings hardly seen")),
        ("copied", tell("answers copied")),
        ("ground", tell("stations at fault")),
    )
    return [
        (name, *(local(f"{getattr(rates, rate):.1%}") for rates in (stated, sharpened)))
        for rate, name in shares
    ] + [
        (
            tell("people's own offsets, one sigma"),
            *(local(f"{rates.own_deg:.1f}°") for rates in (stated, sharpened)),
        )
    ]


def _name(code, nothing):
    """A cause by its name, what is none by other words."""
    return told(nothing if code == "ok" else name_of(code))


def counted_text(held, since):
    """What the instructor's classes (their `priors.Counts`) add to the stated figures, in a
    sentence; `since` is the moment of a fresh beginning, or None.
    """
    day = date_format(timezone.localtime(since), "DATE_FORMAT") if since else ""
    if not held:
        return (
            tell(
                "No closed class of yours counts yet since {date}: the stated figures are used.",
                date=day,
            )
            if since
            else tell("No closed class of yours counts yet: the stated figures are used.")
        )
    people = round(sum(sum(counts.habits) for counts in held))
    readings = round(sum(sum(counts.copied) for counts in held))
    numbers = {
        "people": say_many("{number} person", "{number} people", people),
        "readings": say_many("{number} reading", "{number} readings", readings),
    }
    if since:
        return tell_many(
            "{number} closed class, {people}, {readings} since {date}.",
            "{number} closed classes, {people}, {readings} since {date}.",
            len(held),
            **numbers,
            date=day,
        )
    return tell_many(
        "{number} closed class, {people}, {readings}.",
        "{number} closed classes, {people}, {readings}.",
        len(held),
        **numbers,
    )

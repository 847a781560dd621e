"""The report of a season in plain words, for the person who pays: no name of a participant is in
it.
"""

from collections import Counter

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.results import season
from ..domain.words import say_many
from ..drawing.season import season_chart
from ..languages import tell, tell_many, told
from ..printing.season import SeasonReport
from .causes import name_of

MOST_CAUSES = 4  # that are named of those of which nothing can be told
MOST_CLASSES = 8  # that have a line each


def season_text(found, begin, end, whose):
    """The report, ready to show; `found` is a `usecases.season.Season`, `whose` a name."""
    shares = [season.estimate(_full(held.reads)) for held in found.classes]
    chart = tell("Readings with full credit, class by class")
    return {
        "when": tell("{begin} to {end} · {whose}", begin=_day(begin), end=_day(end), whose=whose),
        "lead": _lead(found),
        "chart_title": chart,
        "shares": [(one.share, one.low, one.high) for one in shares],
        "chart": season_chart([(one.share, one.low, one.high) for one in shares], chart),
        "parts": [
            (heading, lines)
            for heading, lines in (
                (tell("The classes"), list(_classes(found, shares))),
                (tell("What people can do"), list(_skill(found))),
                (tell("What went wrong, early and late"), list(_causes(found))),
                (tell("Ground and compasses"), list(_ground(found))),
            )
            if lines
        ],
        "how": _how(),
    }


def season_report(text):
    """The same as a print."""
    return SeasonReport(
        tell("The season"),
        text["when"],
        text["lead"],
        tuple((heading, tuple(lines)) for heading, lines in text["parts"]),
        text["chart_title"],
        tuple(text["shares"]),
        text["how"],
    )


def _full(reads):
    return [(read.person, read.credit == 1.0) for read in reads]


def _day(day):
    return date_format(day, "DATE_FORMAT")


def _lead(found):
    """Classes, people and readings in one sentence."""
    return tell_many(
        "{number} class, {people}, {readings}.",
        "{number} classes, {people}, {readings}.",
        len(found.classes),
        people=say_many(
            "{number} person", "{number} people", sum(held.heads for held in found.classes)
        ),
        readings=say_many(
            "{number} reading",
            "{number} readings",
            sum(len(held.whole.judged) for held in found.classes),
        ),
    )


def _classes(found, shares):
    """A line for each class, numbered as on the chart; of many how many each course had."""
    if len(found.classes) > MOST_CLASSES:
        held = Counter(one.course_class.course.name for one in found.classes)
        return [
            ", ".join(
                tell("{course} ({number})", course=course, number=number)
                for course, number in sorted(held.items())
            )
        ]
    return [
        tell(
            "{place}. {date}, {course}: {people}, {share:.0%} of readings with full credit.",
            place=place,
            date=date_format(held.course_class.date, "SHORT_DATE_FORMAT"),
            course=held.course_class.course.name,
            people=say_many("{number} person", "{number} people", held.heads),
            share=share.share,
        )
        for place, (held, share) in enumerate(zip(found.classes, shares, strict=True), start=1)
    ]


def _skill(found):
    """Full credit by kind of task, and the spread of sound bearings."""
    for kind, one in season.skill(found.reads).items():
        yield tell(
            "{kind}: {share:.0%} with full credit ({low:.0%} to {high:.0%}), {readings} of "
            "{people}.",
            kind=told(vocabulary.KINDS[kind]),
            share=one.share,
            low=one.low,
            high=one.high,
            readings=say_many("{number} reading", "{number} readings", one.readings),
            people=say_many("{number} person", "{number} people", one.people),
        )
    spread = found.spread()
    if spread:
        yield tell(
            "Sound bearings spread {degrees:.1f}° about the right one ({low:.1f} to {high:.1f}°).",
            degrees=spread.degrees,
            low=spread.low_deg,
            high=spread.high_deg,
        )


def _causes(found):
    """What fell and what rose between the halves of the season; that nothing can be told where the
    readings do not tell.
    """
    changes = season.changes(*found.halves())
    if not changes:
        return
    for change in changes:
        if change.told == season.FALLING:
            yield tell(
                "{cause}: fell from {first:.0%} to {last:.0%} of readings.", **_figures(change)
            )
        elif change.told == season.RISING:
            yield tell(
                "{cause}: rose from {first:.0%} to {last:.0%} of readings.", **_figures(change)
            )
    rest = [change for change in changes if change.told == season.UNTOLD][:MOST_CAUSES]
    if rest:
        yield tell(
            "No change can be told of: {causes}.",
            causes=", ".join(
                tell("{cause} ({first:.0%} early, {last:.0%} late)", **_figures(change))
                for change in rest
            ),
        )


def _figures(change):
    return {
        "cause": told(name_of(change.cause)),
        "first": change.first.share,
        "last": change.last.share,
    }


def _ground(found):
    """Stations mended or still at fault, compasses at fault."""
    state = season.ground([held.biases for held in found.classes])
    mended, faulty = (
        ", ".join(sorted(code for code, word in state.items() if word == wanted))
        for wanted in (season.MENDED, season.AT_FAULT)
    )
    if mended:
        yield tell("Stations that were at fault and are sound now: {codes}.", codes=mended)
    if faulty:
        yield tell("Stations at fault: {codes}. Look at them.", codes=faulty)
    compasses = sorted(found.compasses(), key=lambda number: (len(number), number))
    if compasses:
        yield tell("Compasses at fault: {numbers}.", numbers=", ".join(compasses))
    if found.classes and not state and not compasses:
        yield tell("No station and no compass showed a fault.")


def _how():
    """How it was measured."""
    return tell(
        "How this was measured: people are those who were there; who came to two classes counts "
        "twice. Intervals hold in 95 of 100 cases (Wilson, with people and not readings as what "
        "varies). Early and late are the first and the last half of the classes; a change is named "
        "where it would be a mistake in fewer than one season of twenty (Newcombe, shared between "
        "all causes). Classes may differ in who came. Readings that ground or compass spoilt are "
        "left out of what people can do."
    )

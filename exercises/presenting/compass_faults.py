"""Compasses to withdraw or to look at."""

from ..domain.diagnosis import biases
from ..languages import tell, tell_signed
from .probabilities import POSSIBLE, PROBABLE, interval, percent


def compass_faults(whole):
    """Compasses at fault, shared ones first, each as (verdict with its number, why)."""
    users, held = {}, {}
    for judgement in whole.judged:
        number = judgement.reading.compass
        users.setdefault(number, set()).add(whole.name(judgement))
        held.setdefault(judgement.person, set()).add(number)
    shared = whole.diagnosis.compasses
    for number, compass in in_order(shared):
        yield from _shared(number, compass, sorted(users.get(number, ()), key=str.casefold))
    told_apart = {number for number, who in users.items() if len(who) > 1} | {
        number for number, _ in shared_at_fault(whole)
    }
    for person, posterior in whole.diagnosis.people.items():
        if posterior.offset_probability >= PROBABLE and not held[person] & told_apart & set(shared):
            yield _own(whole.people[person].name, posterior, sorted(held[person] - {""}))


def shared_at_fault(whole):
    """The compasses, as (number, what was found), that two or more people held and that are
    probably at fault.
    """
    return [
        (number, compass)
        for number, compass in in_order(whole.diagnosis.compasses)
        if max(compass.reversed_probability, compass.offset.fault_probability) >= PROBABLE
    ]


def in_order(compasses):
    """Compasses by their numbers, 2 before 10."""
    return sorted(compasses.items(), key=lambda pair: (len(pair[0]), pair[0]))


def _shared(number, compass, people):
    """What is said of a compass that two or more people held; nothing of a sound one."""
    who = ", ".join(people)
    if compass.reversed_probability >= POSSIBLE:
        yield (
            _verdict(number, compass.reversed_probability),
            tell(
                "its needle points the wrong way for everybody who held it ({people}; "
                "probability {probability}).",
                people=who,
                probability=percent(compass.reversed_probability),
            ),
        )
    elif compass.offset.fault_probability >= POSSIBLE:
        yield (
            _verdict(number, compass.offset.fault_probability),
            tell(
                "it reads {interval} off for {people} (more than {limit:.0f}° with "
                "probability {probability}).",
                interval=interval(compass.offset),
                people=who,
                limit=biases.FAULT_DEG,
                probability=percent(compass.offset.fault_probability),
            ),
        )


def _own(name, posterior, numbers):
    """What is said of a compass that one person alone held."""
    return (
        tell("Look at {number}", number=", ".join(numbers))
        if numbers
        else tell("Look at a compass without a number"),
        tell(
            "{name} read {degrees} ± {error:.1f}° off with it everywhere (more than "
            "{limit:.0f}° with probability {probability}); "
            "nobody else held it, so it may be the person. Change compasses and read "
            "again.",
            name=name,
            degrees=tell_signed(posterior.offset_deg, 1),
            error=1.96 * posterior.offset_error_deg,
            limit=biases.FAULT_DEG,
            probability=percent(posterior.offset_probability),
        ),
    )


def _verdict(number, probability):
    """What to do with a compass that is at fault with some probability."""
    return (
        tell("Withdraw {number}", number=number)
        if probability >= PROBABLE
        else tell("Look at {number}", number=number)
    )

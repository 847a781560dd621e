"""The record of what somebody did in a class, ready to print: what was measured, by which standard,
who answers for it.
"""

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.results.passing import USUAL_SHARE
from ..domain.tasks.bands import PRESETS
from ..languages import local, tell, tell_many, told
from ..printing.records import Record
from .passing import passing_lines

# where the limits of each preset come from, by its code
STANDARDS = {
    "paper": lambda full: tell(
        "{full}: measuring on paper. US Army STP 21-1-SMCT asks 1° of a grid azimuth, school mark "
        "schemes 2°.",
        full=full,
    ),
    "sighted": lambda full: tell(
        "{full}: a sighted azimuth, US Army STP 21-1-SMCT (compass to cheek).", full=full
    ),
    "usual": lambda full: tell(
        "{full}: holding a heading, a flight instructor's test; common practice.", full=full
    ),
    "beginner": lambda full: tell(
        "{full}: an unsighted azimuth, US Army STP 21-1-SMCT (centre hold).", full=full
    ),
}


def record(whole, person, when, instructor):
    """A person's record; `whole` is a `Debriefed`, `when` the class's day in words, `instructor` a
    name as it was typed.
    """
    course_class, found = whole.course_class, whole.passing(person)
    judged = {one.task: one for one in whole.by_person.get(str(person.pk), [])}
    spoilt = {one.task for one in whole.told.not_theirs if one.person == str(person.pk)}
    answers = [
        answer.widened(person.wider_band_deg)
        for answer in whole.answers
        if answer.task not in spoilt
    ]
    credits = {task: one.credit for task, one in judged.items()}
    return Record(
        tell("Record of a compass exercise"),
        person.name,
        (
            f"{course_class.course.name} · {course_class.course.site.name}",
            f"{course_class.name} · {when}",
        ),
        tell("What was measured"),
        (
            tell("Kind of task"),
            tell("Tasks"),
            tell("Full credit within"),
            tell("Part credit within"),
            tell("Credit"),
        ),
        tuple(_row(kind, group, credits) for kind, group in _by_kind(answers)),
        (tell("All"), str(len(answers)), "", "", _credit(answers, credits)),
        tuple(_result(found, spoilt, whole)),
        tell("By which standard"),
        tuple(_standards(whole, answers, found, person)),
        tell("{name}, instructor", name=instructor),
        tell(
            "This tells of one teaching exercise. It is not a qualification, and does not say that "
            "anybody may lead others or go alone."
        ),
    )


def _by_kind(answers):
    """The answers in groups of one kind, in the order in which these come."""
    groups = {}
    for answer in answers:
        groups.setdefault(answer.kind, []).append(answer)
    return groups.items()


def _row(kind, answers, credits):
    """One kind of task."""
    limits = [answer.form.limits(answer.band) for answer in answers]
    return (
        told(vocabulary.KINDS[kind]),
        str(len(answers)),
        _within([(full, unit) for full, _, unit in limits]),
        _within([(part, unit) for _, part, unit in limits]),
        _credit(answers, credits),
    )


def _within(limits):
    """Limits of one kind, the least and the most where they differ: `5°`, `3 to 10°`, `20 m`."""
    numbers, (unit, *_) = sorted({number for number, _ in limits}), {unit for _, unit in limits}
    sign = "°" if unit == "deg" else " m"
    least, most = local(f"{numbers[0]:g}"), local(f"{numbers[-1]:g}")
    if least == most:
        return f"{least}{sign}"
    return tell("{least} to {most}", least=least, most=f"{most}{sign}")


def _credit(answers, credits):
    """What these tasks earned of what they could."""
    return tell(
        "{credit:g} of {number}",
        credit=sum(credits.get(answer.task, 0.0) for answer in answers),
        number=len(answers),
    )


def _result(found, spoilt, whole):
    """Whether it was passed, where there is a rule; what was left out either way."""
    if found is not None:
        return passing_lines(found)
    if not spoilt:
        return []
    left_out = [answer.task for answer in whole.answers if answer.task in spoilt]
    return [
        tell_many(
            "Task {tasks} is left out: the ground or the compass spoilt it.",
            "Tasks {tasks} are left out: the ground or the compass spoilt them.",
            len(left_out),
            tasks=", ".join(left_out),
        )
    ]


def _standards(whole, answers, found, person):
    """By which figures it was measured, each with where it comes from."""
    if found is not None:
        yield tell(
            "To pass: {share} % of the credit. {usual} % is what course pass marks usually ask; "
            "common practice.",
            share=found.rule.share,
            usual=USUAL_SHARE,
        )
    yield tell("A task earns 1 within the first limit, one half within the second, else nothing.")
    if person.wider_band_deg:
        yield tell(
            "The limits are wider for this person, who reads a compass that shows less finely."
        )
    yield from _tolerances(answers)
    yield _key(whole)
    models = sorted({answer.declination_model for answer in answers if answer.declination_model})
    if models:
        yield tell(
            "Declination: {model} for {date}, good to {sigma:.1f}° (one sigma).",
            model=", ".join(models),
            date=date_format(whole.course_class.date, "DATE_FORMAT"),
            sigma=max(answer.declination_uncertainty_deg for answer in answers),
        )


def _tolerances(answers):
    """Where the limits in degrees come from; those that are nobody's figure are the course's
    own.
    """
    limits = {answer.form.limits(answer.band) for answer in answers}
    bands = {
        (preset.band.full_credit_deg, preset.band.part_credit_deg, "deg"): code
        for code, preset in PRESETS.items()
    }
    for limit in sorted(limits & set(bands)):
        yield STANDARDS[bands[limit]](f"{local(f'{limit[0]:g}')}°")
    if limits - set(bands):
        yield tell("Other limits are the course's own.")


def _key(whole):
    """Where the right answers come from."""
    version = whole.key.version
    if whole.course_class.key_source == whole.course_class.KeySource.OBSERVED:
        return tell(
            "Right answers: bearings observed on the ground, else reckoned from surveyed "
            "coordinates (WGS 84); version {version} of the key.",
            version=version,
        )
    return tell(
        "Right answers: reckoned from surveyed coordinates (WGS 84); version {version} of the key.",
        version=version,
    )

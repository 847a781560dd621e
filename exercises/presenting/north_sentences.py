"""How the declination is applied at a place, as a sentence to be said aloud or printed.

All figures come from `Norths.whole_correction`, and so from those that are shown: a screen and a
sheet say the same.
"""

from .. import vocabulary
from ..domain.tasks import north_angle
from ..domain.tasks.kinds import kind_of
from ..drawing.norths import norths_in_words
from ..languages import tell, tell_many
from .units import IN_DEGREES


def norths_of_tasks(answers):
    """The norths by which the bearings of a key lie apart: one sentence where they are the same
    figures for all tasks, else one for each, with the tasks.
    """
    tasks = {}
    for answer in answers:
        tasks.setdefault(answer.norths.as_printed(), []).append(answer.task)
    if len(tasks) < 2:
        return [norths_in_words(norths) for norths in tasks]
    return [
        tell_many(
            "Task {tasks}: {norths}",
            "Tasks {tasks}: {norths}",
            len(labels),
            tasks=", ".join(labels),
            norths=norths_in_words(norths),
        )
        for norths, labels in tasks.items()
    ]


def place_sentence(answer, angles=IN_DEGREES):
    """How the declination is applied at this place for what a task asks: `From magnetic to true
    here, add 24°.` `angles` are the words of the unit of a compass.
    """
    return sentence_between(answer.norths, *kind_of(answer.kind).arithmetic(answer), angles)


def sentence_between(norths, begin, end, angles=IN_DEGREES):
    """How a bearing is turned from one north into another at this place."""
    if begin == end:
        return tell("Where magnetic is asked, leave the number as the compass gives it.")
    number, size = angles.sum_rule(norths, begin, end)
    values = {"begin": vocabulary.NORTHS[begin], "end": vocabulary.NORTHS[end]}
    if not norths.whole_correction(begin, end):
        return tell(
            "From {begin} to {end} here, leave the number as it is: they are less than half a "
            "degree apart.",
            **values,
        )
    if number > 0:
        return tell("From {begin} to {end} here, add {size}.", size=size, **values)
    return tell("From {begin} to {end} here, take away {size}.", size=size, **values)


def angle_sentence(answer, angles=IN_DEGREES):
    """What a task says of the angle between the two norths that it needs: `Declination here: 26°
    east.`; nothing where it needs none, or leaves that to the person. `angles` are the words of the
    unit of a compass.
    """
    kind = kind_of(answer.kind)
    way = kind.way_of_angle(answer)
    if way not in ANGLES:
        return ""
    return ANGLES[way](answer, angles, *north_angle.east_of(*kind.arithmetic(answer)))


def _angle_told(answer, angles, turned, base):
    """The angle itself, as it is added or taken away."""
    number, size = angles.sum_rule(answer.norths, turned, base)
    angle = tell("{size} east", size=size) if number >= 0 else tell("{size} west", size=size)
    if (turned, base) == ("magnetic", "true"):
        return tell("Declination here: {declination}.", declination=angle)
    return tell(
        "Here {turned} north lies {angle} of {base} north.",
        turned=vocabulary.NORTHS[turned],
        angle=angle,
        base=vocabulary.NORTHS[base],
    )


def _angle_on_map(answer, angles, turned, base):
    """Where to look for it."""
    if (turned, base) == ("magnetic", "true"):
        return tell("The declination stands on the map.")
    return tell(
        "The angle from {base} to {turned} north stands on the map.",
        turned=vocabulary.NORTHS[turned],
        base=vocabulary.NORTHS[base],
    )


ANGLES = {north_angle.TOLD: _angle_told, north_angle.ON_MAP: _angle_on_map}


def both_ways(norths, one, other):
    """The rule between two norths as it is used, a line for each way: `From grid to magnetic:
    subtract 24°.`, `From magnetic to grid: add 24°.`
    """
    if not norths.whole_correction(one, other):
        return tell(
            "From {one} to {other} and back: leave the number as it is. They are less than half a "
            "degree apart here.",
            one=vocabulary.NORTHS[one],
            other=vocabulary.NORTHS[other],
        )
    return f"{_rule(norths, one, other)}\n{_rule(norths, other, one)}"


def _rule(norths, begin, end):
    """One way of it."""
    whole_deg = norths.whole_correction(begin, end)
    values = {"begin": vocabulary.NORTHS[begin], "end": vocabulary.NORTHS[end]}
    if whole_deg > 0:
        return tell("From {begin} to {end}: add {degrees:.0f}°.", degrees=whole_deg, **values)
    return tell("From {begin} to {end}: subtract {degrees:.0f}°.", degrees=-whole_deg, **values)


def declination_text(declination_deg):
    """A declination to the whole degree: `12° east`."""
    if declination_deg >= 0:
        return tell("{degrees:.0f}° east", degrees=float(declination_deg))
    return tell("{degrees:.0f}° west", degrees=float(-declination_deg))

"""What was nobody's fault, as a class is told: stations and lines that are off, and compasses that
two people or more held. Nobody is named.
"""

from ..domain.diagnosis import biases
from ..domain.tasks.kinds import reads_needle
from ..drawing.offsets import offsets
from ..languages import tell, tell_many, told
from .answers.base import name_of
from .compass_faults import in_order, shared_at_fault
from .ground_faults import faults, since_when
from .probabilities import PROBABLE


def told_faults(whole):
    """The stations and lines at fault that spoilt a reading, each with its tasks. Of one that
    spoilt none there is nothing to tell a class: it stands on the instructor's page.
    """
    found = [
        (fault, [fault.task] if fault.task else _tasks_at(whole, fault.station))
        for fault in faults(whole)
    ]
    return [(fault, tasks) for fault, tasks in found if _spoilt(whole, tasks)]


def ground_screens(whole, charts):
    """A screen for each station and each line at fault, with the chart of its task; `charts` by
    task.
    """
    for fault, tasks in told_faults(whole):
        task = max(tasks, key=lambda label: len(charts[label]["readings"]))
        yield {
            "short": fault.task or fault.station,
            "title": _name(fault, whole.key.points),
            "off": _off(fault.bias),
            "since": since_when(whole, fault.bias),
            "missed": _missed(whole, tasks),
            "reasons": told(fault.reasons),
            "drawing": charts[task]["drawing"],
        }


def _spoilt(whole, tasks):
    """How many readings of some tasks missed full credit for nothing that a person did."""
    return sum(reading.task in tasks for reading in whole.told.ground)


def _tasks_at(whole, station):
    """The tasks at a station in which a needle is read."""
    return [
        answer.task
        for answer in whole.answers
        if answer.station == station and reads_needle(answer)
    ]


def _name(fault, points):
    """What is at fault, by the names that people know."""
    if fault.task:
        return tell(
            "Task {task}: the line to {target}",
            task=fault.task,
            target=name_of(fault.target, points),
        )
    return tell("Station {code}: {name}", code=fault.station, name=name_of(fault.station, points))


def _off(bias):
    """By how much readings are off, to the degree, without a sign."""
    degrees = round(abs(bias.degrees))
    if bias.degrees > 0:
        return tell("Here the compass gives about {degrees}° too much.", degrees=degrees)
    return tell("Here the compass gives about {degrees}° too little.", degrees=degrees)


def _missed(whole, tasks):
    """How many readings of some tasks missed full credit, and how many of these for nothing that a
    person did.
    """
    of_tasks = [reading for reading in whole.judged if reading.task in tasks]
    return tell_many(
        "{missed} of {number} reading here missed full credit, {alone} of them for this alone.",
        "{missed} of {number} readings here missed full credit, {alone} of them for this alone.",
        len(of_tasks),
        missed=sum(reading.credit < 1.0 for reading in of_tasks),
        alone=_spoilt(whole, tasks),
    )


def compasses_told(whole):
    """Compasses that two people or more held and that are off: number, what it does, and how many
    readings it spoilt.
    """
    return [
        {
            "short": number,
            "name": tell("Compass {number}", number=number),
            "what": _compass_off(compass),
            "spoilt": tell_many(
                "It spoilt {number} reading, whoever held it.",
                "It spoilt {number} readings, whoever held it.",
                sum(reading.reading.compass == number for reading in whole.told.compasses),
            ),
        }
        for number, compass in shared_at_fault(whole)
    ]


def compass_drawing(whole):
    """The compasses that two people or more held, side by side; empty for none. A reversed one is
    told in words alone: what it is off by besides says nothing.
    """
    shared = [
        (number, compass)
        for number, compass in in_order(whole.diagnosis.compasses)
        if compass.reversed_probability < PROBABLE
    ]
    if not shared:
        return ""
    return offsets(
        [
            (
                number,
                float(round(compass.offset.degrees)),
                compass.offset.fault_probability >= PROBABLE,
            )
            for number, compass in shared
        ],
        biases.FAULT_DEG,
    )


def _compass_off(compass):
    """What a compass at fault does, to the degree."""
    if compass.reversed_probability >= PROBABLE:
        return tell("Its needle points the wrong way.")
    degrees = round(abs(compass.offset.degrees))
    if compass.offset.degrees > 0:
        return tell("It reads about {degrees}° too much.", degrees=degrees)
    return tell("It reads about {degrees}° too little.", degrees=degrees)

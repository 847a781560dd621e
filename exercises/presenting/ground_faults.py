"""Stations and lines that a class shows to be at fault: what to check, what may be done."""

from dataclasses import dataclass
from urllib.parse import urlencode

from ..domain.diagnosis.ascent import LEAST_PEOPLE
from ..domain.diagnosis.biases import NO_BIAS, Bias
from ..domain.tasks.kinds import reads_needle
from ..domain.words import say
from ..languages import tell, tell_signed, told
from .probabilities import PROBABLE, interval, percent

REASONS_STATION = say(
    "Iron, wires or a vehicle near the mark; a mark that has moved; a wrong coordinate."
)
REASONS_ALONE = say(
    "Iron, wires or a vehicle near the mark; a mark that has moved; a wrong coordinate; a target "
    "that has moved."
)
REASONS_LINE = say(
    "The target has moved, its label is on another thing, or its coordinate is wrong."
)


@dataclass(frozen=True)
class GroundFault:
    """A station that is probably at fault, or with a `task` one of its lines at a station that is
    sound. `is_alone` says of a station that it has one line, which may be at fault instead.
    """

    bias: Bias
    station: str
    task: str = ""
    target: str = ""
    is_alone: bool = False

    @property
    def reasons(self):
        """What it may be."""
        if self.task:
            return REASONS_LINE
        return REASONS_ALONE if self.is_alone else REASONS_STATION


def faults(whole):
    """Stations with a probable fault, then lines of stations that are sound."""
    stations, lines = faulty(whole)
    read_at = [answer.station for answer in whole.answers if reads_needle(answer)]
    for code in sorted(stations):
        yield GroundFault(whole.diagnosis.stations[code], code, is_alone=read_at.count(code) == 1)
    for answer in whole.answers:
        is_told = answer.station in stations and read_at.count(answer.station) == 1
        if answer.task in lines and not is_told:
            bias = whole.diagnosis.lines.get(answer.task, NO_BIAS)
            yield GroundFault(bias, answer.station, answer.task, answer.target)


def faulty(whole):
    """Codes of stations and labels of tasks whose ground is probably at fault."""
    diagnosis = whole.diagnosis
    return (
        {
            code
            for code, bias in diagnosis.stations.items()
            if bias.fault_probability >= PROBABLE and not _is_cleared(whole, code)
        },
        {task for task, bias in diagnosis.lines.items() if bias.fault_probability >= PROBABLE},
    )


def _is_cleared(whole, station):
    """Whether targets alone were named at a station, and the right one by more than half. A target
    tells no degrees: a few wrong ones are then a mistake of a few, not a needle that is bent for
    all.
    """
    here = [
        judgement
        for judgement in whole.judged
        if judgement.answer.station == station and reads_needle(judgement.answer)
    ]
    if any(judgement.answer.form.in_figures for judgement in here):
        return False
    return 2 * sum(judgement.credit == 1.0 for judgement in here) > len(here)


def sound_ground(whole):
    """The answers that one may practise on; all of them where none is left."""
    stations, tasks = faulty(whole)
    sound = [
        answer
        for answer in whole.answers
        if answer.station not in stations and answer.task not in tasks
    ]
    return sound or whole.answers


def is_ground_judged(whole):
    """Whether enough people read a needle somewhere for a fault of the ground to show."""
    people = {}
    for judgement in whole.judged:
        if reads_needle(judgement.answer):
            people.setdefault(judgement.answer.station, set()).add(judgement.person)
    return any(len(who) >= LEAST_PEOPLE for who in people.values())


def ground_faults(whole):
    """The same, each with what to check and what may be done."""
    for fault in faults(whole):
        yield _line_fault(whole, fault) if fault.task else _station_fault(whole, fault)


def _station_fault(whole, fault):
    """A station at fault; with one line alone it may be the line as well."""
    bias, code = fault.bias, fault.station
    return {
        "name": tell("Station {code}, or its only sight line", code=code)
        if fault.is_alone
        else tell("Station {code}", code=code),
        "what": _at_station(bias),
        "probability": percent(bias.fault_probability),
        "since": since_when(whole, bias),
        "reasons": told(fault.reasons),
        "check": tell(
            "Shoot a line fore and back: they differ by the pull of one end. Step three "
            "metres aside and read again with a second compass. Compare the coordinate with "
            "the map."
        ),
        "actions": [
            *_move(
                say(
                    "Move the answers at {code} by {degrees}°",
                    code=code,
                    degrees=tell_signed(bias.degrees, 1),
                ),
                "station",
                code,
                bias,
            ),
            *(
                _drop(answer.task)
                for answer in whole.answers
                if answer.station == code and reads_needle(answer)
            ),
        ],
    }


def _line_fault(whole, fault):
    """A line at fault at a station that is sound."""
    bias, task = fault.bias, fault.task
    return {
        "name": tell(
            "Task {task}, {station} to {target}",
            task=task,
            station=fault.station,
            target=fault.target,
        ),
        "what": _on_line(bias),
        "probability": percent(bias.fault_probability),
        "since": since_when(whole, bias),
        "reasons": told(fault.reasons),
        "check": tell(
            "Stand on the mark and ask somebody new to point at it. Shoot it back from "
            "the target. Compare its coordinate with the map."
        ),
        "actions": [
            *_move(
                say(
                    "Move the answer of task {task} by {degrees}°",
                    task=task,
                    degrees=tell_signed(bias.degrees, 1),
                ),
                "line",
                task,
                bias,
            ),
            _drop(task),
        ],
    }


def _at_station(bias):
    """How far whose readings at a station are off."""
    if bias.since is not None:
        return tell("Most readings from then on there lie {interval} off.", interval=interval(bias))
    if bias.until is not None:
        return tell("Most readings until then there lie {interval} off.", interval=interval(bias))
    return tell("Most readings there lie {interval} off.", interval=interval(bias))


def _on_line(bias):
    """How far whose readings on a line are off."""
    if bias.since is not None:
        return tell(
            "On this line alone most readings from then on lie {interval} off.",
            interval=interval(bias),
        )
    if bias.until is not None:
        return tell(
            "On this line alone most readings until then lie {interval} off.",
            interval=interval(bias),
        )
    return tell("On this line alone most readings lie {interval} off.", interval=interval(bias))


def _move(words, kind, of, bias):
    """The action that moves answers by a bias; none for a fault that began or ended, for it would
    spoil the readings of the other part.
    """
    if bias.since is None and bias.until is None:
        yield told(words), _address(kind, of, bias)


def _drop(task):
    """The action that drops a task."""
    return tell("Drop task {task}", task=task), _address("drop", task)


def _address(what, of, bias=None):
    """The query of the page that previews a correction."""
    return urlencode(
        {
            "what": what,
            "of": of,
            **(
                {"degrees": f"{bias.degrees:.1f}", "error": f"{bias.error_deg:.1f}"} if bias else {}
            ),
        }
    )


def since_when(whole, bias):
    """The moment from which a fault was there, or until which; None where it always was."""
    place = bias.since if bias.since is not None else bias.until
    return (
        None
        if place is None
        else ("from" if bias.since is not None else "until", whole.judged[place].reading.moment)
    )

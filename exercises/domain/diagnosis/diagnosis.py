"""How probable each cause is for each reading, each habit for each person, and a fault for each
station: over a whole class.

The model and how it is fitted stand in class_model.py; here its fit becomes verdicts. README.md of
this room has the equations, the priors and what was tried.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from ..tasks.answer import Answer
from ..tasks.forms.base import CIRCLE, PLANE
from ..tasks.reading import Reading
from . import class_model, places, priors, questions
from .ascent import Fit
from .biases import Bias
from .class_arrays import ClassArrays, SeenTo
from .class_model import ClassPosterior
from .compass_known import CompassKnown
from .explaining import Explained, explain
from .persons import persons
from .priors import SIGMAS_DEG, Priors
from .residuals import Evidence, Residuals, gather
from .verdicts import Person, Verdict, ranked, shares, ways_to

KNOWN = 0.95  # from here nothing needs to be asked
MODEL_VERSION = "6"  # stored with results; raise it with every change that moves a number
NO_KIT: Mapping[str, CompassKnown] = MappingProxyType({})


@dataclass(frozen=True)
class Compass:
    """A numbered compass that two or more people read, or of which a log knew: its offset, and the
    probability that its needle is reversed.
    """

    offset: Bias
    reversed_probability: float


@dataclass(frozen=True)
class Diagnosis:
    """`verdicts` in the order of the readings; `people` by name; `stations` by code and `lines` by
    task, as `Bias`; `compasses` by number; `counts`, what the class adds to the priors;
    `posterior`, by which later readings are judged at once.
    """

    verdicts: tuple[Verdict, ...]
    people: dict[str, Person]
    stations: dict[str, Bias]
    lines: dict[str, Bias]
    compasses: dict[str, Compass]
    counts: priors.Counts | None = None
    posterior: ClassPosterior | None = None


NOTHING = Diagnosis((), {}, {}, {}, {})


def _unread() -> Person:
    """One whose needle nobody has heard of: as the stated priors have them."""
    mean = np.dot(priors.STATED.sigmas, SIGMAS_DEG)
    variance = np.dot(priors.STATED.sigmas, np.square(SIGMAS_DEG)) - mean**2
    return Person(
        offset_deg=0.0,
        offset_error_deg=priors.STATED.own_deg,
        offset_probability=0.0,
        habit="none",
        habit_probability=priors.STATED.habits[0],
        scatter_deg=float(mean),
        scatter_error_deg=float(np.sqrt(variance)),
    )


UNREAD = _unread()


def to_plain(diagnosis: Diagnosis) -> dict[str, Any]:
    """A diagnosis as dicts and lists that JSON can hold."""
    row = asdict(diagnosis)
    row["known"] = row.pop("posterior")  # as it was kept from the beginning
    return row


def from_plain(row: Mapping[str, Any]) -> Diagnosis:
    """The diagnosis that `to_plain` was given."""
    counts = row["counts"]
    return Diagnosis(
        tuple(
            Verdict(**{**verdict, "alternatives": tuple(map(tuple, verdict["alternatives"]))})
            for verdict in row["verdicts"]
        ),
        {
            name: Person(**{**person, "other_habits": tuple(map(tuple, person["other_habits"]))})
            for name, person in row["people"].items()
        },
        _each(Bias, row["stations"]),
        _each(Bias, row["lines"]),
        {
            number: Compass(Bias(**compass["offset"]), compass["reversed_probability"])
            for number, compass in row["compasses"].items()
        },
        counts and priors.Counts(**{name: tuple(values) for name, values in counts.items()}),
        posterior_from_plain(row["known"]),
    )


def posterior_from_plain(row: Mapping[str, Any] | None) -> ClassPosterior | None:
    """What a class had learnt, from its plain form; None of None."""
    if not row or "rates" not in row:  # kept by a model before this one
        return None
    return ClassPosterior(
        stations=_each(Bias, row["stations"]),
        lines=_each(Bias, row["lines"]),
        compasses=_each(Bias, row["compasses"]),
        turned=dict(row["turned"]),
        rates=priors.from_plain(row["rates"]).rates(),
    )


def _each(cls: type, rows: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    return {code: cls(**row) for code, row in rows.items()}


def diagnose(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    stated: Priors = priors.STATED,
    seen_to: Sequence[SeenTo] = (),
    known: Mapping[str, CompassKnown] = NO_KIT,
) -> Diagnosis:
    """The diagnosis of a class.

    `answers` are those of the key, `readings` in the order of time, of any number of people, tasks
    and attempts; `stated` what is believed before; `seen_to` where somebody saw to something while
    the class was held; `known` what is known of compasses by their number. Raises KeyError for a
    reading of a task that has no answer.
    """

    def fitted(own_answers: Sequence[Answer], own: Sequence[Reading]) -> Diagnosis:
        tasks = {answer.task for answer in own_answers}
        among_own = [
            replace(
                one, readings=sum(reading.task in tasks for reading in readings[: one.readings])
            )
            for one in seen_to
        ]
        return _fitted(own_answers, own, stated, among_own, known)

    return _with_places(answers, readings, stated.slips, fitted)


def _fitted(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    stated: Priors,
    seen_to: Sequence[SeenTo],
    known: Mapping[str, CompassKnown],
) -> Diagnosis:
    """The diagnosis of readings of directions, by a fit of their class."""
    residuals = gather(answers, readings)
    arrays, fit, counts = class_model.fit(answers, readings, residuals, stated, seen_to, known)
    parts = list(explain(arrays, residuals, fit, np.arange(len(arrays.row))))
    found = _summary(answers, arrays, residuals, fit, counts, parts)
    posterior = _posterior(answers, arrays, fit, found.compasses)
    return replace(found, posterior=_with_unread(posterior, known))


def nothing_known(
    stated: Priors = priors.STATED, known: Mapping[str, CompassKnown] = NO_KIT
) -> ClassPosterior:
    """What is known of a class before its first reading."""
    return _with_unread(ClassPosterior({}, {}, {}, {}, stated.rates()), known)


def _with_unread(posterior: ClassPosterior, known: Mapping[str, CompassKnown]) -> ClassPosterior:
    """What a class learnt, with the compasses that it has not read by what is known of them."""
    turned = {number: one.reversed_probability for number, one in known.items()}
    return replace(
        posterior,
        compasses={number: one.bias() for number, one in known.items()} | posterior.compasses,
        turned=turned | posterior.turned,
    )


def diagnose_people(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    known: ClassPosterior,
    *,
    evidence: Evidence | None = None,
    not_asked: Collection[str] = (),
) -> Diagnosis:
    """The diagnosis of some people's readings by what their class knew before, without fitting the
    class again. `evidence` is what is remembered of these answers, `not_asked` are people of whom
    nobody asks anything.
    """

    def judged(answers: Sequence[Answer], readings: Sequence[Reading]) -> Diagnosis:
        read = {reading.task for reading in readings}
        answers = [answer for answer in answers if answer.task in read]
        residuals = gather(answers, readings, evidence)
        arrays, fit = class_model.fit_people(answers, readings, residuals, known)
        parts = list(explain(arrays, residuals, fit, np.arange(len(readings))))
        found = _summary(answers, arrays, residuals, fit, None, parts)
        verdicts = _with_questions(answers, readings, residuals, parts, found.verdicts, not_asked)
        return replace(found, verdicts=verdicts, posterior=known)

    return _with_places(answers, readings, known.rates.slips, judged)


def _with_questions(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    residuals: Residuals,
    parts: Sequence[Explained],
    verdicts: Sequence[Verdict],
    not_asked: Collection[str],
) -> tuple[Verdict, ...]:
    """The verdicts; of each person but those in `not_asked` the latest whose cause is open, of
    which nobody has asked and of which a question tells enough, with the one that tells most.
    """
    by_task = {answer.task: answer for answer in answers}
    found, asked = list(verdicts), set(not_asked)
    latest_first = (
        (part, place, index)
        for part in reversed(parts)
        for place, index in reversed(list(enumerate(part.readings.tolist())))
    )
    for part, place, index in latest_first:
        reading, verdict = readings[index], verdicts[index]
        if reading.person in asked or reading.reply is not None or verdict.probability >= KNOWN:
            continue
        answer, ways = by_task[reading.task], ways_to(residuals, part, place)
        if answer.grade(reading.seen).credit:
            ways = questions.single(ways)
        if code := questions.best(answer, reading.instrument, ways):
            found[index] = replace(verdict, question=code)
            asked.add(reading.person)
    return tuple(found)


def _with_places(
    answers: Sequence[Answer],
    readings: Sequence[Reading],
    slips: Sequence[float],
    of_directions: Callable[[Sequence[Answer], Sequence[Reading]], Diagnosis],
) -> Diagnosis:
    """The diagnosis of the readings of directions, by `of_directions`, then of those of places, by
    what it says of their people.
    """
    by_space: dict[str, dict[str, Answer]] = {CIRCLE: {}, PLANE: {}}
    for answer in answers:
        by_space[answer.form.space][answer.task] = answer
    directions, places_asked = by_space[CIRCLE], by_space[PLANE]
    indices = [index for index, reading in enumerate(readings) if reading.task in directions]
    diagnosis = NOTHING
    if indices:
        own = [readings[index] for index in indices]
        diagnosis = of_directions(tuple(directions.values()), own)
    if len(indices) == len(readings):
        return diagnosis
    rates = diagnosis.posterior.rates.slips if diagnosis.posterior else slips
    verdicts = dict(zip(indices, diagnosis.verdicts, strict=True))
    judge = places.Judge(places_asked, rates)
    for index, reading in enumerate(readings):
        if reading.task in places_asked:
            verdicts[index] = judge.verdict(reading, diagnosis.people.get(reading.person))
    return replace(
        diagnosis,
        verdicts=tuple(verdicts[index] for index in range(len(readings))),
        people={**{reading.person: UNREAD for reading in readings}, **diagnosis.people},
        stations={code: _among(bias, indices) for code, bias in diagnosis.stations.items()},
        lines={task: _among(bias, indices) for task, bias in diagnosis.lines.items()},
    )


def _among(bias: Bias, indices: Sequence[int]) -> Bias:
    """A bias whose beginning or end is counted among all readings and not among some of them."""
    return replace(
        bias,
        since=None if bias.since is None else indices[bias.since],
        until=None if bias.until is None else indices[bias.until],
    )


def _summary(
    answers: Sequence[Answer],
    arrays: ClassArrays,
    residuals: Residuals,
    fit: Fit,
    counts: priors.Counts | None,
    parts: Sequence[Explained],
) -> Diagnosis:
    """What a fit says of everything. `counts` is what it adds to the priors, `parts` are its
    readings explained.
    """
    found = [own for part in parts for own in shares(residuals, part)]
    compasses = {
        number: Compass(bias, float(chance))
        for number, bias, chance in zip(
            arrays.compasses, fit.compasses, fit.reversed_chance, strict=True
        )
    }
    return Diagnosis(
        tuple(ranked(found, arrays.original.tolist())),
        persons(arrays, fit),
        _stations(arrays, fit),
        _lines(answers, arrays, fit),
        compasses,
        counts,
    )


def _posterior(
    answers: Sequence[Answer],
    arrays: ClassArrays,
    fit: Fit,
    compasses: Mapping[str, Compass],
) -> ClassPosterior:
    """What later readings are judged by: of what changed the latest part."""
    return ClassPosterior(
        stations={
            epoch.station: bias
            for epoch, bias in zip(arrays.epochs, fit.epochs, strict=True)
            if epoch.until is None
        },
        lines={
            answers[line.task].task: bias
            for line, bias in zip(arrays.lines, fit.lines, strict=True)
            if line.until is None
        },
        compasses={number: compass.offset for number, compass in compasses.items()},
        turned={number: compass.reversed_probability for number, compass in compasses.items()},
        rates=fit.rates,
    )


def _stations(arrays: ClassArrays, fit: Fit) -> dict[str, Bias]:
    """The biases of the stations at which somebody read a needle."""
    read_at = {arrays.epochs[epoch].station for epoch in set(arrays.epoch[arrays.has_needle])}
    lines_of = arrays.lines_of_epochs()
    return _worst(
        (
            epoch.station,
            replace(
                _with_only_line(arrays, fit, index, lines_of[index]),
                since=epoch.since,
                until=epoch.until,
            ),
        )
        for index, epoch in enumerate(arrays.epochs)
        if epoch.station in read_at
    )


def _with_only_line(arrays: ClassArrays, fit: Fit, epoch: int, own: Sequence[int]) -> Bias:
    """A station's bias, of its `own` lines; where one line alone was read there, the two cannot be
    told apart, and it is both together.
    """
    lines = [fit.lines[index] for index in own if arrays.needle[arrays.lines[index].task]]
    bias = fit.epochs[epoch]
    if len(lines) != 1:
        return bias
    (line,) = lines
    return replace(
        bias,
        degrees=bias.degrees + line.degrees,
        error_deg=line.error_deg,
        fault_probability=1.0 - (1.0 - bias.fault_probability) * (1.0 - line.fault_probability),
    )


def _lines(answers: Sequence[Answer], arrays: ClassArrays, fit: Fit) -> dict[str, Bias]:
    """The biases of the lines on which a needle is read, by task."""
    return _worst(
        (answers[line.task].task, replace(bias, since=line.since, until=line.until))
        for line, bias in zip(arrays.lines, fit.lines, strict=True)
        if arrays.needle[line.task]
    )


def _worst(biases_by_code: Iterable[tuple[str, Bias]]) -> dict[str, Bias]:
    """Of a station or line that changed, the part that is likelier at fault."""
    worst: dict[str, Bias] = {}
    for code, bias in biases_by_code:
        if code not in worst or bias.fault_probability > worst[code].fault_probability:
            worst[code] = bias
    return worst

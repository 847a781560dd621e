"""What a debrief shows, ready to print: numbers with their uncertainty, in words; drawings beside
them.
"""

from urllib.parse import urlencode

from ..domain.diagnosis import biases
from ..domain.diagnosis.class_model import LEAST_PEOPLE
from ..domain.earth.angles import difference
from ..domain.earth.geodesy import Position
from ..domain.earth.uncertainty import combine
from ..domain.mistakes import causes
from ..domain.planning import pairs
from ..domain.results import cohort
from ..domain.tasks.kinds import is_place, kind_of
from ..domain.words import say, say_many
from ..drawing.dots import errors
from ..drawing.pair import pair
from ..drawing.place import ground_drawing
from ..languages import tell, tell_many, tell_signed, told
from .remedies import exercise
from .wording import (
    CREDIT_MARKS,
    CREDIT_WORDS,
    advice,
    answer_text,
    cause_sentence,
    judged_along,
    off_text,
    own_text,
    pair_text,
    picture,
    prompt,
    reading_text,
)

SMALL_CLASS = 40  # readings below which patterns are hints
PROBABLE, POSSIBLE = 0.5, 0.2
SHOWN_CAUSES = 5  # with a drawing each; nobody reteaches more in one debrief
ENOUGH_FOR_SCATTER = 5  # bearings read off a dial
HABIT_SURE = 0.7  # from here a habit is said of a person


def overview(whole):
    """Everything on the debrief's page. `whole` is a `Debriefed`."""
    results, names = whole.results, {str(one.person.pk): one.person for one in whole.counted}
    reteach = [_reteach(count, whole) for count in cohort.causes_by_credit_lost(results)]
    return {
        "key": whole.key,
        "readings": len(results),
        "sent": _sent(len(names), len(results)),
        "is_small": len(results) < SMALL_CLASS,
        "shares": _shares(results),
        "skill": _skill(whole),
        "is_ground_judged": _is_ground_judged(whole),
        "reteach": reteach[:SHOWN_CAUSES],
        "rarer": reteach[SHOWN_CAUSES:],
        "stations": list(_ground(whole)),
        "compasses": list(_compasses(whole, names)),
        "people": _people(whole),
        "tasks": [answer.task for answer in whole.answers],
        "grid": _grid(whole),
        "dropped": _dropped(whole.key.dropped if whole.key else []),
        "pairs": _pairs(whole),
        "summaries": [_summary(answer, results, whole.key.points) for answer in whole.answers],
    }


def _pairs(whole):
    """The pairs of tasks that gave the same bearing at two marks, with their drawing."""
    points = whole.key.points if whole.key else {}
    positions = {
        code: Position(point["latitude"], point["longitude"]) for code, point in points.items()
    }
    rows = []
    for found in pairs.asked(whole.answers, positions):
        words = pair_text(found, points)
        rows.append(
            {
                **words,
                "tasks": tell("Tasks {one} and {other}", one=found.tasks[0], other=found.tasks[1]),
                "drawing": pair(found, positions, words["leads"]),
            }
        )
    return rows


def _sent(people, readings):
    return tell_many(
        "{number} person sent {readings}:",
        "{number} people sent {readings}:",
        people,
        readings=say_many("{number} reading", "{number} readings", readings),
    )


def _dropped(tasks):
    """Which tasks were dropped from the key, in words; empty for none."""
    return (
        tell_many(
            "Dropped from the key: task {tasks}.",
            "Dropped from the key: tasks {tasks}.",
            len(tasks),
            tasks=", ".join(tasks),
        )
        if tasks
        else ""
    )


def _shares(results):
    """How many readings earned each credit, in words."""
    words = {1.0: say("full credit"), 0.5: say("part credit"), 0.0: say("no credit")}
    return [
        (
            CREDIT_MARKS[credit],
            tell(
                "{number} {credit} ({share:.0%})",
                number=number,
                credit=words[credit],
                share=number / max(len(results), 1),
            ),
        )
        for credit in (1.0, 0.5, 0.0)
        for number in [sum(result.credit == credit for result in results)]
    ]


def _skill(whole):
    """The spread of sound readings with its interval, and what a good compass and a careful person
    would reach; empty without enough.
    """
    needles = {
        answer.task: answer
        for answer in whole.answers
        if kind_of(answer.kind).reads_needle and kind_of(answer.kind).widget == "bearing"
    }
    spread = cohort.spread_of_sound([result for result in whole.results if result.task in needles])
    if spread is None:
        return ""
    good_deg = combine(answer.budget.total_deg for answer in needles.values()) / len(needles) ** 0.5
    return tell(
        "The {number} sound bearings spread {degrees:.1f}° (one standard deviation, 95% interval "
        "{low:.1f} to {high:.1f}°). "
        "A good compass in careful hands would reach about {good:.1f}° here.",
        number=spread.number,
        degrees=spread.degrees,
        low=spread.low_deg,
        high=spread.high_deg,
        good=good_deg,
    )


def _reteach(count, whole):
    """One mistake: what it costs, how sure it is, what it looks like, and two minutes against
    it.
    """
    example, cause = count.example, causes.REGISTER[count.code]
    one = next(one for one in whole.counted if one.result is example)
    answer = one.answer  # as it is for that person
    return {
        "name": told(cause.name),
        "count": count,
        "sure": percent(count.probability),
        "say": told(causes.advice(count.code, kind_of(answer.kind).setting)),
        "note": told(cause.note),
        "readings": tell_many(
            "{number} reading of {people}",
            "{number} readings of {people}",
            count.readings,
            people=say_many("{number} person", "{number} people", count.people),
        ),
        "tasks": tell_many(
            "task {tasks}", "tasks {tasks}", len(count.tasks), tasks=", ".join(count.tasks)
        ),
        "evidence": tell(
            "Task {task}: {reading} where {answer} is right.",
            task=example.task,
            reading=reading_text(one),
            answer=answer_text(answer),
        ),
        "drawing": picture(answer, example),
        "exercise": exercise(count.code, _sound_ground(whole), whole.key.points),
    }


def percent(probability):
    """A probability as it is said: never as certainty.

    >>> percent(0.9999), percent(0.874), percent(0.002)
    ('>99%', '87%', '<1%')
    """
    return ">99%" if probability > 0.99 else "<1%" if probability < 0.01 else f"{probability:.0%}"


def _faulty(whole):
    """Codes of stations and labels of tasks whose ground is probably at fault."""
    return (
        {code for code, bias in whole.found.stations.items() if bias.fault_probability >= PROBABLE},
        {task for task, bias in whole.found.lines.items() if bias.fault_probability >= PROBABLE},
    )


def _sound_ground(whole):
    """The answers that one may practise on; all of them where none is left."""
    stations, tasks = _faulty(whole)
    return [
        answer
        for answer in whole.answers
        if answer.station not in stations and answer.task not in tasks
    ] or whole.answers


def _is_ground_judged(whole):
    """Whether enough people read a needle somewhere for a fault of the ground to show."""
    people = {}
    for one in whole.counted:
        if kind_of(one.answer.kind).reads_needle:
            people.setdefault(one.answer.station, set()).add(one.person.pk)
    return any(len(who) >= LEAST_PEOPLE for who in people.values())


def _interval(bias):
    low_deg, high_deg = bias.degrees - 1.96 * bias.error_deg, bias.degrees + 1.96 * bias.error_deg
    return tell(
        "{degrees}° (95% interval {low} to {high}°)",
        degrees=tell_signed(bias.degrees, 1),
        low=tell_signed(low_deg, 1),
        high=tell_signed(high_deg, 1),
    )


def _ground(whole):
    """Stations, and lines of stations that are sound, with a probable fault, each with what to
    check and what may be done.
    """
    faulty, _ = _faulty(whole)
    read_at = [answer.station for answer in whole.answers if kind_of(answer.kind).reads_needle]
    for code in sorted(faulty):
        bias = whole.found.stations[code]
        alone = read_at.count(code) == 1
        yield {
            "name": tell("Station {code}, or its only sight line", code=code)
            if alone
            else tell("Station {code}", code=code),
            "what": _at_station(bias),
            "probability": percent(bias.fault_probability),
            "since": _since(whole, bias),
            "reasons": tell(
                "Iron, wires or a vehicle near the mark; a mark that has moved; a wrong "
                "coordinate; a target that has moved."
            )
            if alone
            else tell(
                "Iron, wires or a vehicle near the mark; a mark that has moved; a wrong coordinate."
            ),
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
                    if answer.station == code and kind_of(answer.kind).reads_needle
                ),
            ],
        }
    for answer in whole.answers:
        bias = whole.found.lines.get(answer.task, biases.NO_BIAS)
        if bias.fault_probability >= PROBABLE and not (
            answer.station in faulty and read_at.count(answer.station) == 1
        ):
            yield {
                "name": tell(
                    "Task {task}, {station} to {target}",
                    task=answer.task,
                    station=answer.station,
                    target=answer.target,
                ),
                "what": _on_line(bias),
                "probability": percent(bias.fault_probability),
                "since": _since(whole, bias),
                "reasons": tell(
                    "The target has moved, its label is on another thing, or its coordinate is "
                    "wrong."
                ),
                "check": tell(
                    "Stand on the mark and ask somebody new to point at it. Shoot it back from "
                    "the target. Compare its coordinate with the map."
                ),
                "actions": [
                    *_move(
                        say(
                            "Move the answer of task {task} by {degrees}°",
                            task=answer.task,
                            degrees=tell_signed(bias.degrees, 1),
                        ),
                        "line",
                        answer.task,
                        bias,
                    ),
                    _drop(answer.task),
                ],
            }


def _at_station(bias):
    """How far whose readings at a station are off."""
    if bias.since is not None:
        return tell(
            "Most readings from then on there lie {interval} off.", interval=_interval(bias)
        )
    if bias.until is not None:
        return tell("Most readings until then there lie {interval} off.", interval=_interval(bias))
    return tell("Most readings there lie {interval} off.", interval=_interval(bias))


def _on_line(bias):
    """How far whose readings on a line are off."""
    if bias.since is not None:
        return tell(
            "On this line alone most readings from then on lie {interval} off.",
            interval=_interval(bias),
        )
    if bias.until is not None:
        return tell(
            "On this line alone most readings until then lie {interval} off.",
            interval=_interval(bias),
        )
    return tell("On this line alone most readings lie {interval} off.", interval=_interval(bias))


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


def _since(whole, bias):
    """The moment from which a fault was there, or until which; None where it always was."""
    place = bias.since if bias.since is not None else bias.until
    return (
        None
        if place is None
        else ("from" if bias.since is not None else "until", whole.counted[place].reading.moment)
    )


def _compasses(whole, names):
    """Compasses to withdraw or to look at: (verdict with number, why)."""
    users = {}
    for one in whole.counted:
        users.setdefault(one.reading.compass_number, set()).add(one.person.name)
    for number, compass in sorted(
        whole.found.compasses.items(), key=lambda pair: (len(pair[0]), pair[0])
    ):
        who = ", ".join(sorted(users.get(number, ()), key=str.casefold))
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
                    interval=_interval(compass.offset),
                    people=who,
                    limit=biases.FAULT_DEG,
                    probability=percent(compass.offset.fault_probability),
                ),
            )
    held = {}
    for one in whole.counted:
        held.setdefault(str(one.person.pk), set()).add(one.reading.compass_number)
    for pk, person in whole.found.people.items():
        if person.offset_probability >= PROBABLE and not held[pk] & set(whole.found.compasses):
            numbers = ", ".join(sorted(held[pk] - {""}))
            yield (
                tell("Look at {number}", number=numbers)
                if numbers
                else tell("Look at a compass without a number"),
                tell(
                    "{name} read {degrees} ± {error:.1f}° off with it everywhere (more than "
                    "{limit:.0f}° with probability {probability}); "
                    "nobody else held it, so it may be the person. Change compasses and read "
                    "again.",
                    name=names[pk].name,
                    degrees=tell_signed(person.offset_deg, 1),
                    error=1.96 * person.offset_error_deg,
                    limit=biases.FAULT_DEG,
                    probability=percent(person.offset_probability),
                ),
            )


def _verdict(number, probability):
    """What to do with a compass that is at fault with some probability."""
    return (
        tell("Withdraw {number}", number=number)
        if probability >= PROBABLE
        else tell("Look at {number}", number=number)
    )


def _people(whole):
    """A row for each person, by name: never by credit."""
    credit, needles, rows = {}, {}, []
    for one in whole.counted:
        credit.setdefault(one.person, []).append(one.result.credit)
        needles[one.person] = needles.get(one.person, 0) + _reads_dial(one)
    for person, own in sorted(credit.items(), key=lambda pair: pair[0].name.casefold()):
        found = whole.found.people[str(person.pk)]
        habit = (
            "—"
            if found.habit == "none" or found.habit_probability < HABIT_SURE
            else f"{told(causes.REGISTER[found.habit].name)} ({percent(found.habit_probability)})"
        )
        rows.append(
            {
                "person": person,
                "credit": tell("{credit:g} of {number}", credit=sum(own), number=len(own)),
                "habit": habit,
                "scatter": tell(
                    "{degrees:.1f} ± {error:.1f}°",
                    degrees=found.scatter_deg,
                    error=found.scatter_error_deg,
                )
                if needles[person] >= ENOUGH_FOR_SCATTER
                else "—",
                "offset": tell(
                    "{degrees} ± {error:.1f}°",
                    degrees=tell_signed(found.offset_deg, 1),
                    error=found.offset_error_deg,
                )
                if found.offset_probability >= PROBABLE
                else "—",
            }
        )
    return rows


def _reads_dial(one):
    """Whether a reading tells of its person's scatter."""
    kind = kind_of(one.answer.kind)
    return kind.reads_needle and kind.widget == "bearing"


def _grid(whole):
    """One row a person, one cell a task, None where nothing was sent."""
    cells = {}
    for one in whole.counted:
        cells.setdefault(one.person.name, {})[one.result.task] = {
            "mark": CREDIT_MARKS[one.result.credit],
            "credit": str(CREDIT_WORDS[one.result.credit]),
            "error": _off(one.result),
            "cause": "" if one.result.cause == "ok" else told(causes.name(one.result.cause)),
            "late": one.reading.is_late,
            "sure": percent(one.result.probability),
        }
    return [
        (name, [row.get(answer.task) for answer in whole.answers])
        for name, row in sorted(cells.items(), key=lambda pair: pair[0].casefold())
    ]


def _off(result):
    """By how much a result is off, for a cell of a table."""
    return (
        tell("{metres:.0f} m", metres=result.miss.error_m)
        if result.miss
        else f"{tell_signed(result.error_deg)}°"
    )


def _summary(answer, results, points):
    """One task: what was asked, its errors drawn with the other targets, its causes, and the same
    numbers in words.
    """
    summary = cohort.task_summary(answer.task, results)
    words = tell_many(
        "{number} reading: {full} full credit, {part} part, {none} none.",
        "{number} readings: {full} full credit, {part} part, {none} none.",
        summary.readings,
        full=summary.full,
        part=summary.partial,
        none=summary.readings - summary.full - summary.partial,
    )
    if summary.mean_deg is not None and summary.spread_deg is not None:
        words += " " + tell(
            "The {number} sound ones lie {degrees}° from the answer on average, spread "
            "{spread:.1f}°.",
            number=summary.sound,
            degrees=tell_signed(summary.mean_deg, 1),
            spread=summary.spread_deg,
        )
    others = [
        (other.code, difference(other.bearing_deg, answer.bearings_deg["true"]))
        for other in answer.others
    ]
    counts = {}
    for result in results:
        if result.task == answer.task and result.cause != "ok":
            counts[result.cause] = counts.get(result.cause, 0) + 1
    return {
        "label": answer.task,
        "prompt": prompt(answer, points),
        "station": answer.station,
        "answer": answer_text(answer),
        "words": words,
        "causes": ", ".join(
            f"{number} {told(causes.name(code))}"
            for code, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
        ),
        "others": ", ".join(
            tell("{code} at {degrees}°", code=code, degrees=tell_signed(turn))
            for code, turn in sorted(others, key=lambda pair: pair[1])
        ),
        "errors": ", ".join(
            [
                *(f"{tell_signed(error)}°" for error in summary.errors_deg),
                *(tell("{metres:.0f} m", metres=miss.error_m) for miss in summary.misses),
            ]
        ),
        "drawing": ground_drawing(answer, summary.misses, words)
        if is_place(answer)
        else errors(summary.errors_deg, answer.band, others),
    }


def sheet(whole, person):
    """One person's page: readings on dials, how sure and how steady they were, what to practise."""
    own, place = (
        whole.by_person.get(person.pk, []),
        {answer.task: index for index, answer in enumerate(whole.answers)},
    )
    found = whole.found.people.get(str(person.pk))
    practise = cohort.causes_by_credit_lost([one.result for one in own])
    return {
        "person": person,
        "readings": [
            _on_sheet(one, whole.key.points)
            for one in sorted(own, key=lambda one: place[one.result.task])
        ],
        "credit": tell(
            "Credit {credit:g} of {number}.",
            credit=sum(one.result.credit for one in own),
            number=len(own),
        ),
        "scatter": tell(
            "Your sound readings scatter by about {degrees:.0f}° either way.",
            degrees=found.scatter_deg,
        )
        if found and sum(map(_reads_dial, own)) >= ENOUGH_FOR_SCATTER
        else "",
        "practise": [
            (
                told(causes.REGISTER[count.code].name),
                told(causes.REGISTER[count.code].advice),
                exercise(count.code, _sound_ground(whole), whole.key.points),
            )
            for count in practise[:2]
        ],
    }


def _on_sheet(one, points):
    result, answer = one.result, one.answer
    return {
        "task": result.task,
        "station": answer.station,
        "mark": CREDIT_MARKS[result.credit],
        "credit": str(CREDIT_WORDS[result.credit]),
        "own": own_text(one),
        "reading": reading_text(one),
        "note": judged_along(one),
        "answer": answer_text(answer),
        "error": off_text(result, answer),
        "cause": cause_sentence(result, answer, points),
        "advice": "" if result.cause == "ok" else advice(result, answer),
        "dial": picture(answer, result),
    }


def alone(whole):
    """Identical unusual answers close in time: (task, answer, names). A fact without a verdict."""
    given = [
        (
            one.person.name,
            one.result.task,
            one.result.text,
            one.result.credit,
            one.reading.moment.timestamp(),
        )
        for one in whole.counted
    ]
    return [(task, text, ", ".join(people)) for task, text, people in cohort.same_answers(given)]

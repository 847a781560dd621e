"""What a debrief shows, ready to print: numbers with their uncertainty, in words; drawings beside
them.
"""

from ..domain.earth.geodesy import Position
from ..domain.earth.uncertainty import combine
from ..domain.planning import pairs
from ..domain.results import cohort
from ..domain.tasks.kinds import reads_needle
from ..domain.words import say, say_many
from ..drawing.pair import pair
from ..languages import tell, tell_many, tell_signed, told
from .answers import words_of
from .answers.base import counted_words
from .answers.direction import other_turns
from .causes import WORDS as CAUSES, advice_on, name_of
from .compass_faults import compass_faults
from .feedback import CREDIT_MARKS, CREDIT_WORDS, cause_name
from .ground_faults import ground_faults, is_ground_judged, sound_ground
from .pairs import pair_text
from .person_sheet import ENOUGH_FOR_SCATTER, reads_dial
from .probabilities import PROBABLE, percent
from .remedies import exercise

SMALL_CLASS = 40  # readings below which patterns are hints
SHOWN_CAUSES = 5  # with a drawing each; nobody reteaches more in one debrief
HABIT_SURE = 0.7  # from here a habit is said of a person
NOTHING = "—"


def overview(whole):
    """Everything on the debrief's page. `whole` is a `Debriefed`."""
    judged = whole.judged
    reteach = [_reteach(count, whole) for count in cohort.causes_by_credit_lost(judged)]
    return {
        "key": whole.key,
        "readings": len(judged),
        "sent": _sent(len(whole.people), len(judged)),
        "is_small": len(judged) < SMALL_CLASS,
        "shares": _shares(judged),
        "skill": _skill(whole),
        "is_ground_judged": is_ground_judged(whole),
        "reteach": reteach[:SHOWN_CAUSES],
        "rarer": reteach[SHOWN_CAUSES:],
        "stations": list(ground_faults(whole)),
        "compasses": list(compass_faults(whole)),
        "people": _people(whole),
        "tasks": [answer.task for answer in whole.answers],
        "grid": _grid(whole),
        "dropped": _dropped(whole.key.dropped if whole.key else []),
        "pairs": _pairs(whole),
        "summaries": [_summary(answer, judged, whole.key.points) for answer in whole.answers],
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


def _shares(judged):
    """How many readings earned each credit, in words."""
    words = {1.0: say("full credit"), 0.5: say("part credit"), 0.0: say("no credit")}
    shares = []
    for credit, said in words.items():
        number = sum(one.credit == credit for one in judged)
        text = tell(
            "{number} {credit} ({share:.0%})",
            number=number,
            credit=said,
            share=number / max(len(judged), 1),
        )
        shares.append((CREDIT_MARKS[credit], text))
    return shares


def _skill(whole):
    """The spread of sound readings with its interval, and what a good compass and a careful person
    would reach; empty without enough.
    """
    needles = [
        answer for answer in whole.answers if reads_needle(answer) and answer.form.in_figures
    ]
    tasks = {answer.task for answer in needles}
    spread = cohort.spread_of_sound([one for one in whole.judged if one.task in tasks])
    if spread is None:
        return ""
    good_deg = combine(answer.budget.total_deg for answer in needles) / len(needles) ** 0.5
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
    example = count.example
    answer = example.answer  # as it is for that person
    words, cause = words_of(answer), CAUSES[count.code]
    return {
        "name": told(cause.name),
        "count": count,
        "sure": percent(count.probability),
        "say": told(advice_on(count.code, words.setting)),
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
            reading=words.reading_text(example),
            answer=words.answer_text(answer),
        ),
        "drawing": words.picture(example),
        "exercise": exercise(count.code, sound_ground(whole), whole.key.points),
    }


def _people(whole):
    """A row for each person, by name: never by credit."""
    by_name = sorted(whole.by_person, key=lambda person: whole.people[person].name.casefold())
    return [
        _person(whole.people[person], whole.by_person[person], whole.diagnosis.people[person])
        for person in by_name
    ]


def _person(person, own, found):
    """The row of a person, with what the diagnosis found of them."""
    is_habit = found.habit != "none" and found.habit_probability >= HABIT_SURE
    return {
        "person": person,
        "credit": tell(
            "{credit:g} of {number}", credit=sum(one.credit for one in own), number=len(own)
        ),
        "habit": f"{told(CAUSES[found.habit].name)} ({percent(found.habit_probability)})"
        if is_habit
        else NOTHING,
        "scatter": tell(
            "{degrees:.1f} ± {error:.1f}°",
            degrees=found.scatter_deg,
            error=found.scatter_error_deg,
        )
        if sum(map(reads_dial, own)) >= ENOUGH_FOR_SCATTER
        else NOTHING,
        "offset": tell(
            "{degrees} ± {error:.1f}°",
            degrees=tell_signed(found.offset_deg, 1),
            error=found.offset_error_deg,
        )
        if found.offset_probability >= PROBABLE
        else NOTHING,
    }


def _grid(whole):
    """One row a person, one cell a task, None where nothing was sent."""
    cells = {}
    for one in whole.judged:
        cells.setdefault(whole.name(one), {})[one.task] = {
            "mark": CREDIT_MARKS[one.credit],
            "credit": str(CREDIT_WORDS[one.credit]),
            "error": words_of(one.answer).off_cell(one),
            "cause": cause_name(one),
            "late": one.reading.is_late,
            "sure": percent(one.verdict.probability),
        }
    return [
        (name, [row.get(answer.task) for answer in whole.answers])
        for name, row in sorted(cells.items(), key=lambda pair: pair[0].casefold())
    ]


def _summary(answer, judged, points):
    """One task: what was asked, its errors drawn with the other targets, its causes, and the same
    numbers in words.
    """
    words = words_of(answer)
    own = [one for one in judged if one.task == answer.task]
    said = [counted_words(answer.task, own), words.summary_words(own)]
    in_words = " ".join(filter(None, said))
    counts = {}
    for one in own:
        if one.cause != "ok":
            counts[one.cause] = counts.get(one.cause, 0) + 1
    return {
        "label": answer.task,
        "prompt": words.prompt(answer, points),
        "station": answer.station,
        "answer": words.answer_text(answer),
        "words": in_words,
        "causes": ", ".join(
            f"{number} {told(name_of(code))}"
            for code, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
        ),
        "others": ", ".join(
            tell("{code} at {degrees}°", code=code, degrees=tell_signed(turn))
            for code, turn in sorted(other_turns(answer), key=lambda pair: pair[1])
        ),
        "errors": ", ".join(words.summary_errors(own)),
        "drawing": words.summary_drawing(answer, own, in_words),
    }


def alone(whole):
    """Identical unusual answers close in time: (task, answer, names). A fact without a verdict."""
    given = [
        (whole.name(one), one.task, one.reading.text, one.credit, one.reading.moment.timestamp())
        for one in whole.judged
    ]
    return [(task, text, ", ".join(people)) for task, text, people in cohort.same_answers(given)]

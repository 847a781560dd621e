"""What a debrief tells the instructor alone, ready to print: names, numbers with their uncertainty,
in words; drawings beside them. What is shown to a class stands in `show.py`.
"""

from ..domain.earth.uncertainty import combine
from ..domain.mistakes import causes
from ..domain.planning.next_reading import WORTH_A_READING, telling
from ..domain.results import cohort, lessons
from ..domain.tasks.kinds import reads_needle
from ..domain.words import say, say_many
from ..languages import tell, tell_many, tell_signed, told
from .answers import words_of
from .answers.base import counted_words
from .answers.direction import other_turns
from .at_home import titles_text
from .causes import WORDS as CAUSES, advice_on, name_of
from .compass_faults import compass_faults
from .corrected_key import dropped_text
from .feedback import CREDIT_MARKS, CREDIT_WORDS, cause_name
from .ground_faults import ground_faults, is_ground_judged, sound_ground
from .passing import passing_cell
from .people_told import causes_told, people_told
from .person_sheet import ENOUGH_FOR_SCATTER, reads_dial
from .probabilities import PROBABLE, percent
from .remedies import exercise
from .show_tasks import drawn_pairs, positions_of
from .units import Units, angles_of, angles_seen_by

SMALL_CLASS = 40  # readings below which patterns are hints
NO_HABIT = say("no habit")
NOTHING = "—"


def overview(whole):
    """Everything on the instructor's own page, in the order of the show. `whole` is a
    `Debriefed`.
    """
    judged = whole.judged
    people = people_told(whole)
    angles = angles_seen_by(whole.course_class, judged)
    return {
        "readings": len(judged),
        "sent": _sent(len(whole.people), len(judged)),
        "is_small": len(judged) < SMALL_CLASS,
        "shares": _shares(judged),
        "skill": _skill(whole),
        "is_ground_judged": is_ground_judged(whole),
        "stations": list(ground_faults(whole)),
        "compasses": list(compass_faults(whole)),
        "mistakes": [_mistake(count, whole) for count in cohort.causes_by_credit_lost(whole.fair)],
        "told_alone": people,
        "causes_told": causes_told(people),
        "more": to_know_more(whole),
        "groups": alone(whole),
        "people": _people(whole),
        "tasks": [answer.task for answer in whole.answers],
        "grid": _grid(whole),
        "dropped": dropped_text(whole),
        "summaries": [
            _summary(answer, whole.by_task.get(answer.task, []), whole.key.points, angles)
            for answer in whole.answers
        ],
        "pairs": list(drawn_pairs(whole, positions_of(whole))),
    }


def _sent(people, readings):
    return tell_many(
        "{number} person sent {readings}:",
        "{number} people sent {readings}:",
        people,
        readings=say_many("{number} reading", "{number} readings", readings),
    )


def _shares(judged):
    """How many readings earned each credit, in words; the percents add up to 100."""
    words = {1.0: say("full credit"), 0.5: say("part credit"), 0.0: say("no credit")}
    numbers = [sum(judgement.credit == credit for judgement in judged) for credit in words]
    return [
        (
            CREDIT_MARKS[credit],
            tell(
                "{number} {credit} ({share:.0%})",
                number=number,
                credit=words[credit],
                share=share / 100,
            ),
        )
        for credit, number, share in zip(
            words, numbers, cohort.whole_percents(numbers), strict=True
        )
    ]


def _skill(whole):
    """The spread of sound readings with its interval, and what a good compass and a careful person
    would reach; empty without enough.
    """
    needles = [
        answer for answer in whole.answers if reads_needle(answer) and answer.form.in_figures
    ]
    tasks = {answer.task for answer in needles}
    spread = cohort.spread_of_sound(
        [judgement for judgement in whole.judged if judgement.task in tasks]
    )
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


def _mistake(count, whole):
    """One mistake: who is told, what it costs, how sure it is, what it looks like, and two minutes
    against it.
    """
    example = count.example
    answer = example.answer  # as it is for that person
    words, cause = words_of(answer), CAUSES[count.code]
    return {
        "name": told(cause.name),
        "is_for_everybody": any(count.code == one.code for one in whole.told.everybody),
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
            answer=words.answer_text(answer, angles_of(example)),
        ),
        "drawing": words.picture(example),
        "exercise": exercise(count.code, sound_ground(whole), whole.key.points),
    }


def _people(whole):
    """A row for each person, by name: never by credit."""
    by_name = sorted(whole.by_person, key=lambda person: whole.people[person].name.casefold())
    return [_person(whole, whole.people[person], whole.by_person[person]) for person in by_name]


def _person(whole, person, judged):
    """The row of a person, with what the diagnosis found of them."""
    posterior = whole.diagnosis.people[str(person.pk)]
    is_habit = posterior.habit != "none" and posterior.habit_probability >= lessons.HABIT_SURE
    return {
        "person": person,
        "at_home": titles_text(person),
        "passing": passing_cell(whole.passing(person)),
        "credit": tell(
            "{credit:g} of {number}",
            credit=sum(judgement.credit for judgement in judged),
            number=len(judged),
        ),
        "habit": f"{told(name_of(posterior.habit))} ({percent(posterior.habit_probability)})"
        if is_habit
        else NOTHING,
        "scatter": tell(
            "{degrees:.1f} ± {error:.1f}°",
            degrees=posterior.scatter_deg,
            error=posterior.scatter_error_deg,
        )
        if sum(map(reads_dial, judged)) >= ENOUGH_FOR_SCATTER
        else NOTHING,
        "offset": tell(
            "{degrees} ± {error:.1f}°",
            degrees=tell_signed(posterior.offset_deg, 1),
            error=posterior.offset_error_deg,
        )
        if posterior.offset_probability >= PROBABLE
        else NOTHING,
    }


def _grid(whole):
    """One row a person, one cell a task, None where nothing was sent."""
    cells = {}
    for judgement in whole.judged:
        cells.setdefault(whole.name(judgement), {})[judgement.task] = {
            "mark": CREDIT_MARKS[judgement.credit],
            "credit": str(CREDIT_WORDS[judgement.credit]),
            "error": words_of(judgement.answer).off_cell(judgement),
            "cause": cause_name(judgement),
            "late": judgement.reading.is_late,
            "sure": percent(judgement.verdict.probability),
        }
    return [
        (name, [row.get(answer.task) for answer in whole.answers])
        for name, row in sorted(cells.items(), key=lambda pair: pair[0].casefold())
    ]


def _summary(answer, of_task, points, angles):
    """One task: what was asked, its errors drawn with the other targets, its causes, and the same
    numbers in words.
    """
    words = words_of(answer)
    sentences = [counted_words(answer.task, of_task), words.summary_words(of_task)]
    in_words = " ".join(filter(None, sentences))
    counts = {}
    for judgement in of_task:
        if judgement.cause != "ok":
            counts[judgement.cause] = counts.get(judgement.cause, 0) + 1
    return {
        "label": answer.task,
        "prompt": words.prompt(answer, points, Units(angles)),
        "station": answer.station,
        "answer": words.answer_text(answer, angles),
        "words": in_words,
        "causes": ", ".join(
            f"{number} {told(name_of(code))}"
            for code, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
        ),
        "others": ", ".join(
            tell("{code} at {degrees}°", code=code, degrees=tell_signed(turn))
            for code, turn in sorted(other_turns(answer), key=lambda pair: pair[1])
        ),
        "errors": ", ".join(words.summary_errors(of_task)),
        "drawing": words.summary_drawing(answer, of_task, in_words),
    }


def to_know_more(whole):
    """Of whom one reading more would tell two habits apart: a sentence for each, by name."""
    faulty = {
        code
        for biases in (whole.diagnosis.stations, whole.diagnosis.lines)
        for code, bias in biases.items()
        if bias.fault_probability >= PROBABLE
    }
    found = []
    for key, person in whole.people.items():
        posterior = whole.diagnosis.people[key]
        rivals = [code for code, share in posterior.other_habits if share >= WORTH_A_READING]
        if not rivals or posterior.habit_probability >= causes.CERTAIN:
            continue
        one, other = ("ok" if code == "none" else code for code in (posterior.habit, rivals[0]))
        if more := telling(whole.answers, one, other, faulty):
            found.append((person.name, more))
    return [_next_text(name, more) for name, more in sorted(found, key=lambda pair: pair[0])]


def _next_text(name, more):
    """What to have somebody do, and what it tells."""
    return tell(
        "Have {name} do task {task} at {station} once more: it tells “{one}” from “{other}”.",
        name=name,
        task=more.answer.task,
        station=more.answer.station,
        one=told(NO_HABIT if more.one == "ok" else name_of(more.one)),
        other=told(NO_HABIT if more.other == "ok" else name_of(more.other)),
    )


def alone(whole):
    """Identical unusual answers close in time: (task, answer, names). A fact without a verdict."""
    given = [
        (
            whole.name(judgement),
            judgement.task,
            judgement.reading.text,
            judgement.credit,
            judgement.reading.moment.timestamp(),
        )
        for judgement in whole.judged
    ]
    return [(task, text, ", ".join(people)) for task, text, people in cohort.same_answers(given)]

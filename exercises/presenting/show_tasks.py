"""Each task in a chart that can be read from the back: where the class pointed and where the answer
lay, and its spread beside what can be reached.
"""

from ..domain.earth.geodesy import Position
from ..domain.planning import pairs
from ..domain.results import cohort, lessons
from ..drawing.bars import spread_bars
from ..drawing.pair import pair
from ..languages import tell, tell_many, told
from .answers import words_of
from .answers.base import counted_words, name_of
from .causes import name_of as cause_name
from .pairs import pair_text
from .person_sheet import reads_dial
from .show_ground import told_faults
from .units import Units


def task_chart(answer, whole, positions, hazards, angles):
    """The chart of one task. `positions` are those of a key by code, hazards what lies on the
    site, `angles` the words for what the class sees.
    """
    words = words_of(answer)
    readings = whole.by_task.get(answer.task, [])
    counts = counted_words(answer.task, readings)
    return {
        "title": tell(
            "Task {task}: {place}",
            task=answer.task,
            place=name_of(answer.station, whole.key.points) or answer.station,
        ),
        "readings": readings,
        "prompt": words.prompt(answer, whole.key.points, Units(angles)),
        "answer": words.answer_text(answer, angles),
        "credits": credit_texts(credit_counts(readings)),
        "drawing": words.class_drawing(answer, readings, positions, hazards, counts),
        "is_ground": _is_ground(answer, whole),
        "common": _common(whole, answer.task),
        "spread": _spread(answer, readings),
    }


def credit_counts(judged):
    """How many readings earned full, part and no credit."""
    return [sum(reading.credit == credit for reading in judged) for credit in (1.0, 0.5, 0.0)]


def credit_texts(counts):
    """The same as (mark, words)."""
    full, part, none = counts
    return [
        ("full", tell("{number} full credit", number=full)),
        ("part", tell("{number} part credit", number=part)),
        ("none", tell("{number} no credit", number=none)),
    ]


def _is_ground(answer, whole):
    """Whether the class is told that the ground of a task was at fault."""
    return any(answer.task in tasks for _, tasks in told_faults(whole))


def _common(whole, task):
    """What many did in a task, among what everybody is taught; nothing that one or two did."""
    found = []
    for lesson in whole.told.everybody:
        number = sum(reading.task == task for reading in lesson.readings)
        people = {reading.person for reading in lesson.readings if reading.task == task}
        if len(people) >= lessons.MANY:
            found.append(f"{told(cause_name(lesson.code))} ({number})")
    return ", ".join(found)


def _spread(answer, readings):
    """The spread of sound bearings beside what a good compass in careful hands reaches: bars, and
    the same figures in words; None where there is none.
    """
    sound = cohort.spread_of_sound(filter(reads_dial, readings))
    if sound is None:
        return None
    own_deg, reachable_deg = round(sound.degrees, 1), round(answer.budget.total_deg, 1)
    own = tell_many(
        "{number} sound reading spread {degrees:.1f}°",
        "{number} sound readings spread {degrees:.1f}°",
        sound.number,
        degrees=own_deg,
    )
    best = tell("A good compass in careful hands: {degrees:.1f}°", degrees=reachable_deg)
    return {
        "own": own,
        "best": best,
        "bars": spread_bars(own_deg, reachable_deg, f"{own}. {best}."),
    }


def positions_of(whole):
    """Where the points of the key lie, by code."""
    points = whole.key.points if whole.key else {}
    return {code: Position(point["latitude"], point["longitude"]) for code, point in points.items()}


def drawn_pairs(whole, positions):
    """The pairs of tasks that gave the same bearing at two marks, with their drawing."""
    for asked in pairs.asked(whole.answers, positions):
        words = pair_text(asked, whole.key.points)
        yield {
            **words,
            "title": tell("Tasks {one} and {other}", one=asked.tasks[0], other=asked.tasks[1]),
            "drawing": pair(asked, positions, words["leads"]),
        }

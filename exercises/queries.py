"""What a page needs, in a fixed number of queries."""
from dataclasses import dataclass

from .domain import cohort, diagnosis, grading
from .domain.answer import Answer
from .models import CourseClass, Person, Reading


@dataclass(frozen=True)
class Counted:
    """A reading that counts, with the person, the answer for that person, its grade and its result."""

    reading: Reading
    person: Person
    answer: Answer
    grade: grading.Grade
    result: cohort.Result


def class_by_code(code):
    """The class of a code as typed, or None."""
    return CourseClass.objects.select_related("course__site").filter(code=code.strip().upper()[:12]).first()


def current_key(course_class):
    """The newest key of a class, or None before it opens."""
    return course_class.keys.order_by("-version").first()


def counting(course_class, readings):
    """Of each person's attempts at a task the one that counts, in order of arrival.

    The first where the answer is told at once, because later ones know it; the last where feedback waits for the end. One
    that came late, or after the release, counts only where there is no other: it may have been copied from the answer.
    """
    first, released_at = course_class.feedback == CourseClass.Feedback.AT_ONCE, course_class.released_at

    def rank(reading):
        knows = released_at is not None and reading.received_at >= released_at
        return knows, reading.is_late, reading.attempt if first or knows else -reading.attempt

    chosen = {}
    for reading in sorted((reading for reading in readings if not reading.problem), key=rank, reverse=True):
        chosen[reading.person_id, reading.task] = reading
    return sorted(chosen.values(), key=lambda reading: (reading.received_at, reading.pk))


def counted(course_class, answers):
    """Every reading of a class that counts, graded and explained, in one query."""
    return diagnosed(course_class, answers)[0]


def diagnosed(course_class, answers):
    """The readings as `counted` gives them, and the diagnosis of the whole class, whose people go by their keys as text."""
    by_task = {answer.task: answer for answer in answers}
    rows = counting(course_class, course_class.readings.select_related("person"))
    rows = [row for row in rows if row.task in by_task]
    found = diagnosis.diagnose(answers, [row.as_domain(by_task[row.task]) for row in rows])
    return [_counted(row, by_task[row.task], verdict) for row, verdict in zip(rows, found.verdicts, strict=True)], found


def counted_one(reading, answer):
    """One reading, graded and explained by itself."""
    return _counted(reading, answer, diagnosis.diagnose((answer,), [reading.as_domain(answer)]).verdicts[0])


def _counted(reading, answer, verdict):
    answer = answer.widened(reading.person.wider_band_deg)
    grade = grading.grade(answer, reading.as_domain(answer).seen)
    result = cohort.Result(reading.person.name, reading.task, reading.text, grade.reading_deg, grade.error_deg, grade.credit,
                           verdict.cause, verdict.probability, verdict.alternatives, verdict.detail)
    return Counted(reading, reading.person, answer, grade, result)

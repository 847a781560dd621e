"""What a phone shows of a class: its state as JSON can hold it, never an answer before its time."""

from .. import vocabulary
from ..domain.tasks import telling
from ..domain.tasks.kinds import kind_of
from ..languages import told
from .answers import words_of
from .feedback import feedback, hint


def public_task(answer, points):
    """What a phone may know of a task: never its answer. Choices come in alphabetical order."""
    words, kind = words_of(answer), kind_of(answer.kind)
    marks = kind.marks(answer)
    task = {
        "label": answer.task,
        "kind": words.name(),
        "station": answer.station,
        "widget": answer.form.code,
        "prompt": words.prompt(answer, points),
        "north": told(vocabulary.NORTHS[answer.north]),
        "needle": kind.uses_compass,
        **words.for_phone(answer, points),
        "typed": answer.form.is_typed,
        "after": answer.after,
        "at": list(marks),
    }
    if len(marks) > 1:
        task["marks"] = [f"{code}: {points[code]['mark']}" for code in marks]
    return task


def tasks(answers, points, policy):
    """The tasks of a class, each with what comes after it and when its answer is told."""
    halves = {answer.after: answer.task for answer in answers if answer.after}
    return [
        {
            **public_task(answer, points),
            "then": halves.get(answer.task, ""),
            "policy": telling.policy_of(answer, policy),
        }
        for answer in answers
    ]


def stations(answers, points, cards):
    """The marks on which one stands, in the order of the tasks; `cards` are short codes by point."""
    marks = dict.fromkeys(mark for answer in answers for mark in kind_of(answer.kind).marks(answer))
    return [
        {
            "code": code,
            "name": points[code]["name"],
            "mark": points[code]["mark"],
            "card": cards.get(code, ""),
        }
        for code in marks
    ]


def shown(judged, told_by_task, attempts, points, *, is_released):
    """Hints and feedback, as far as they may be told (`telling.told_on_phone`). `attempts` says by
    (person, task) how many there were.
    """
    results = []
    for one in judged:
        what = told_by_task.get((one.person, one.task), telling.NOTHING)
        if what == telling.HINT:
            results.append(hint(one))
        elif what == telling.ANSWER:
            is_again = attempts[one.person, one.task] > 1 and not is_released
            results.append(feedback(one, points, is_again=is_again))
    return results

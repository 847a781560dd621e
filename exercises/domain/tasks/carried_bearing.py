"""Answers for people who go on with a number of their own: the field half of a bearing off the
map.
"""

from dataclasses import replace

from .kinds import kind_of


def linked(answers):
    """The answers of a course in order, each field half with the task before it that measures the
    same line.
    """
    measured, course = {}, []
    for answer in answers:
        kind = kind_of(answer.kind)
        if line := kind.line_measured(answer):
            measured[line] = answer.task
        before = kind.line_gone_on_with(answer)
        course.append(replace(answer, after=measured.get(before, "")) if before else answer)
    return tuple(course)


def heard_deg(answer, measured, seen):
    """The bearing with which a person goes on to `answer`, degrees in its north, of what they gave
    to the task `measured`.
    """
    direction_deg = measured.form.direction(measured, seen)
    return answer.norths.turn(direction_deg, measured.north, answer.north)


def walked_with(moments, moment):
    """Which of several measured numbers a person went on with: the index of the last one by some
    moment, else the first. `moments` in order.

    >>> walked_with([1, 5, 9], 6), walked_with([7], 6)
    (1, 0)
    """
    return max((index for index, other in enumerate(moments) if other <= moment), default=0)


def with_heard(answers, readings):
    """Readings in the order of time, those of a field half with the bearing that their person had
    measured by then.
    """
    by_task, given = {answer.task: answer for answer in answers}, {}
    for place, reading in enumerate(readings):
        given.setdefault((reading.person, reading.task), []).append((place, reading.seen))
    carried = []
    for place, reading in enumerate(readings):
        answer = by_task[reading.task]
        if own := given.get((reading.person, answer.after)):
            _, seen = own[walked_with([other for other, _ in own], place)]
            reading = replace(reading, heard_deg=heard_deg(answer, by_task[answer.after], seen))
        carried.append(reading)
    return carried


def own_answers(answers, readings):
    """The answer to each reading, as it is for the person who gave it."""
    by_task = {answer.task: answer for answer in answers}
    return [own_answer(by_task[reading.task], reading.heard_deg) for reading in readings]


def own_answer(answer, heard_deg):
    """An answer for a person who goes on with a bearing, degrees in its north; the same one where
    there is none.
    """
    return answer if heard_deg is None else kind_of(answer.kind).going_on(answer, heard_deg)

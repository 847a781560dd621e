"""Answers for people who go on with a number of their own: the field half of a bearing off the map."""
from dataclasses import replace

from .kinds import kind_of
from .kinds.face import Face
from .kinds.map_bearing import MapBearing


def linked(answers):
    """The answers of a course in order, each field half with the task before it that measures the same line."""
    measured, found = {}, []
    for answer in answers:
        if answer.kind == MapBearing.code:
            measured[answer.station, answer.target] = answer.task
        found.append(replace(answer, after=measured.get((answer.station, answer.target), "")) if answer.kind == Face.code else answer)
    return tuple(found)


def heard(answers, readings):
    """The bearing that each reading goes on with, degrees in the asked north, or None: the person's own answer to the task before, among the same readings."""
    by_task = {answer.task: answer for answer in answers}
    measured = {(reading.person, reading.task): kind_of(by_task[reading.task].kind).direction(by_task[reading.task], reading.seen)
                for reading in readings if by_task[reading.task].kind == MapBearing.code}
    return [measured.get((reading.person, by_task[reading.task].after)) for reading in readings]


def own_answers(answers, readings):
    """The answer to each reading, as it is for the person who gave it."""
    by_task = {answer.task: answer for answer in answers}
    return [own_answer(by_task[reading.task], heard_deg) for reading, heard_deg in zip(readings, heard(answers, readings), strict=True)]


def own_answer(answer, heard_deg):
    """An answer for a person who goes on with a bearing; the same one where there is none."""
    return answer if heard_deg is None else kind_of(answer.kind).going_on(answer, heard_deg)

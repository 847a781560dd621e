"""Whether what a phone was told holds an answer, however it is spelt."""

import re

from exercises.domain.earth.angles import difference, to_mils

HALF = 0.5 + 1e-6  # of a degree or of a mil: what rounding to whole ones moves a number by
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
QUADRANT = re.compile(r"([NS])\s*(\d+(?:[.,]\d+)?)\s*°?\s*([EW])")
TOKEN = re.compile(r"[0-9a-f]{16}|[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")  # a stamp, an id


def leaked(told, answers, *, codes=(), people=()):
    """Where, in what a phone was told, a number is a bearing of an answer: (path, number).

    A number is a bearing's when it lies within half a degree of it, or half a mil, in any north.
    What a task's own prompt gives is no answer. `codes` are texts drawn by lot, and `people` the
    keys of people, which are no answers where they name a person.
    """
    return [
        (path, number)
        for path, number in _numbers(told, (), set(codes), set(people))
        for answer in answers
        if _is_bearing_of(answer, number) and not _is_given(told, path, answer, number)
    ]


def _numbers(told, path, codes, people):
    """Every number in plain values: those of keys, and the digits within texts, too."""
    if isinstance(told, dict):
        for key, value in told.items():
            yield from _numbers(key, path, codes, people)
            yield from _numbers(value, (*path, key), codes, people)
    elif isinstance(told, list):
        for place, value in enumerate(told):
            yield from _numbers(value, (*path, place), codes, people)
    elif isinstance(told, str):
        if told not in codes and not TOKEN.fullmatch(told):
            yield from ((path, number) for number in _in_text(told))
    elif isinstance(told, (int, float)) and not isinstance(told, bool):
        yield from () if _names_a_person(path) and told in people else [(path, told)]


def _in_text(text):
    """The numbers in a text; 66.12 may be a decimal or two numbers, N66E is a bearing too."""
    for written in NUMBER.findall(text):
        yield float(written.replace(",", "."))
        yield from map(float, re.split("[.,]", written))
    for first, written, last in QUADRANT.findall(text):
        turned = float(written.replace(",", ".")) * (1 if first + last in ("NE", "SW") else -1)
        yield (turned + (0 if first == "N" else 180)) % 360


def _names_a_person(path):
    return path[-1:] in (("id",), ("person",)) or (path[:1] == ("sent",) and path[2:] == (0,))


def _is_bearing_of(answer, number):
    return any(
        (number <= 360 and abs(difference(number, bearing)) <= HALF)
        or abs(number - to_mils(bearing)) <= HALF
        for bearing in answer.bearings_deg.values()
    )


def _is_given(told, path, answer, number):
    """Whether the prompt of the answer's own task gives the number."""
    return (
        answer.given_deg is not None
        and path[:1] == ("tasks",)
        and path[2:] == ("prompt",)
        and told["tasks"][path[1]]["label"] == answer.task
        and number == round(answer.given_deg)
    )

"""The compasses of a class: to whom they go, where each is now, what is not back."""

from ..domain.running import kit as domain
from ..domain.running.kit import Condition
from ..languages import tell, tell_many
from .kit import holder, in_order, state_text

USABLE = (Condition.SOUND, Condition.UNCHECKED)


def class_kit_text(course_class, compasses):
    """Whom compasses are given to, each with the number that comes next; and where each is now."""
    ordered = in_order(compasses)
    standings = {compass.number: domain.standing(compass.log()) for compass in ordered}
    out = [
        (compass.number, compass.out[0])
        for compass in ordered
        if compass.out and compass.out[0].course_class_id == course_class.pk
    ]
    free = [
        compass.number
        for compass in ordered
        if not compass.out and standings[compass.number].condition in USABLE
    ]
    return {
        "out": [
            {"number": number, "holder": holder(issue), "at": issue.issued_at}
            for number, issue in out
        ],
        "words": out_words(len(out)),
        "people": _people(course_class, [issue for _, issue in out], free),
        "groups": _groups(course_class, out, free),
        "free": free,
        "set_aside": [
            (number, state_text(standing))
            for number, standing in standings.items()
            if standing.condition not in USABLE
        ],
        "elsewhere": [
            compass.number
            for compass in ordered
            if compass.out and compass.out[0].course_class_id != course_class.pk
        ],
    }


def out_words(number):
    """How many compasses are out."""
    if not number:
        return tell("No compass is out")
    return tell_many("{number} compass is out", "{number} compasses are out", number)


def _people(course_class, out, free):
    """Those who have no compass, nor their group, in the order of the list, each with the number
    that goes to them next: what they told on a phone, else the next that is free.
    """
    with_one = {issue.person.same_as_id or issue.person_id for issue in out if issue.person}
    groups = {issue.group_name for issue in out if issue.group_name}
    people = [
        person
        for person in course_class.people.expected().select_related("group", "compass")
        if person.pk not in with_one and not (person.group and person.group.name in groups)
    ]
    said = {person.pk: person.compass.number for person in people if person.compass}
    left = [number for number in free if number not in said.values()]
    return [
        {
            "person": person,
            "number": said.get(person.pk) if said.get(person.pk) in free else _next(left),
        }
        for person in people
    ]


def _next(left):
    return left.pop(0) if left else ""


def _groups(course_class, out, free):
    """The groups, each with the numbers that it has, or that go to it next: one for each of its
    people.
    """
    held = {}
    for number, issue in out:
        held.setdefault(issue.group_name, []).append(number)
    return [
        {
            "group": group,
            "has": ", ".join(held.get(group.name, [])),
            "numbers": ", ".join(free[: max(len(group.people.all()), 1)]),
        }
        for group in course_class.groups.prefetch_related("people")
    ]


def not_back_text(issues):
    """Compasses that are out, each with who has it, as one counts them."""
    by_number = {issue.compass: holder(issue) for issue in issues}
    return [(compass.number, by_number[compass]) for compass in in_order(by_number)]

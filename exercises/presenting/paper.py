"""Answers from paper ready to print: the grid to type them into, and what became of them."""

from .. import vocabulary
from ..domain.earth.angle_units import unit_of
from ..languages import tell, tell_many, told
from ..usecases import type_paper


def grid(people, answers, entries, hand, posted, units):
    """Rows of cells: what this hand typed, or what was just posted (texts by a field's name); and
    where the hands differ. `units` are those of the class's compasses.
    """
    typed = {(entry.person_id, entry.task): entry.text for entry in entries if entry.hand == hand}
    is_double = hand == 2 or any(entry.hand == 2 for entry in entries)
    differing = type_paper.differences(entries) if is_double else {}
    choices = {answer.task: " ".join(answer.form.choices(answer)) for answer in answers}
    unit_of_person = sheet_units(people, entries, hand)

    def cell(person, answer):
        place, name = (person.pk, answer.task), cell_name(person.pk, answer.task)
        return {
            "task": answer.task,
            "name": name,
            "value": posted.get(name, typed.get(place, "")),
            "widget": answer.form.code,
            "choices": choices[answer.task],
            "typed": answer.form.is_typed,
            "differs": differing.get(place),
        }

    offered = list(dict.fromkeys([*units, *map(unit_of, unit_of_person.values())]))
    return {
        "hand": hand,
        "answers": answers,
        "people": [
            (
                person,
                _unit_choices(person, unit_of_person[person.pk], offered, posted),
                [cell(person, answer) for answer in answers],
            )
            for person in people
        ],
        "units": offered if len(offered) > 1 or offered[0].digits > LEAST_DIGITS else [],
        "differences": len(differing),
    }


LEAST_DIGITS = 3  # in a class of degrees alone nobody is asked for a unit


def sheet_units(people, entries, hand):
    """In what the sheets of people are, codes of units by their keys: as this hand noted it, else
    as the compass of each is marked, else as the class's are.
    """
    noted = {entry.person_id: entry.unit for entry in entries if entry.hand == hand}
    return {
        person.pk: noted.get(
            person.pk, person.compass.unit if person.compass else person.course_class.unit
        )
        for person in people
    }


def _unit_choices(person, chosen, offered, posted):
    """The field for the unit of a person's sheet: its name, and the units to choose from."""
    name = unit_name(person.pk)
    return {
        "name": name,
        "units": [
            {
                "unit": unit,
                "text": told(vocabulary.UNITS[unit.code]),
                "is_chosen": unit.code == posted.get(name, chosen),
            }
            for unit in offered
        ],
    }


def unit_name(person):
    """The name of the field for the unit of a person's sheet, by the person's key."""
    return f"unit-{person}"


def cell_name(person, task):
    """The name of a cell's field, by the person's key and the task."""
    return f"cell-{person}-{task}"


def table_text(number):
    """How many answers of a table were noted, and what to do next."""
    return tell_many(
        "{number} answer noted. Look at it, then take it in.",
        "{number} answers noted. Look at them, then take them in.",
        number,
    )


def taken_in_text(outcomes, left):
    """How many readings were taken in, and how many cells were left; `outcomes` come with the names
    of their people.
    """
    new = sum(outcome.status == "stored" for _, outcome in outcomes)
    sentences = [tell_many("One reading taken in.", "{number} readings taken in.", new)]
    if left:
        sentences.append(
            tell_many(
                "{number} cell is left: the two hands differ.",
                "{number} cells are left: the two hands differ.",
                left,
            )
        )
    return " ".join(sentences)


def outcome_text(name, outcome):
    """What there is to say of one reading that was taken in, and whether it went well; nothing of
    one that was simply kept.
    """
    reading = outcome.reading
    if reading is not None and reading.text == type_paper.EMPTIED:
        sentence = tell(
            "{name}: the answer to task {task} was taken back.", name=name, task=reading.task
        )
        return sentence, True
    if reading is None or reading.problem:
        return f"{name}: {told(outcome.message)}", False
    return "", True

"""Answers from paper ready to print: the grid to type them into, and what became of them."""

from ..languages import tell, tell_many, told
from ..usecases import type_paper


def grid(people, answers, entries, hand, posted):
    """Rows of cells: what this hand typed, or what was just posted (texts by a cell's name); and
    where the hands differ.
    """
    typed = {(entry.person_id, entry.task): entry.text for entry in entries if entry.hand == hand}
    is_double = hand == 2 or any(entry.hand == 2 for entry in entries)
    differing = type_paper.differences(entries) if is_double else {}
    choices = {answer.task: " ".join(answer.form.choices(answer)) for answer in answers}

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

    return {
        "hand": hand,
        "answers": answers,
        "people": [(person, [cell(person, answer) for answer in answers]) for person in people],
        "differences": len(differing),
    }


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

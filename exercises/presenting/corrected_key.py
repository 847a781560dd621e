"""A correction of the key before it is adopted: what it would change."""

from ..domain.tasks import corrections
from ..languages import tell, tell_many
from .answers import words_of


def moved_answers(before, after):
    """Tasks whose answer would be another: (label, answer now, answer then)."""
    then = {answer.task: answer for answer in after}
    texts = [
        (answer.task, _text(answer), _text(then[answer.task]))
        if answer.task in then
        else (answer.task, _text(answer), tell("does not count"))
        for answer in before
    ]
    return [(task, now, later) for task, now, later in texts if now != later]


def _text(answer):
    return words_of(answer).answer_text(answer)


def changed_credit(before, after):
    """Whose credit changes, of two `Debriefed`: (name, credit before, credit after, the changes),
    by name.
    """
    credit = [
        {(whole.name(judged), judged.task): judged.credit for judged in whole.judged}
        for whole in (before, after)
    ]
    totals, by_person = ({}, {}), {}
    for total, credits in zip(totals, credit, strict=True):
        for (name, _), value in credits.items():
            total[name] = total.get(name, 0.0) + value
    for change in corrections.changes(*credit):
        by_person.setdefault(change.person, []).append(change)
    return [
        (name, totals[0].get(name, 0.0), totals[1].get(name, 0.0), changes)
        for name, changes in sorted(by_person.items(), key=lambda pair: pair[0].casefold())
    ]


def dropped_text(whole):
    """Which tasks were dropped from the key of a `Debriefed`; empty for none."""
    tasks = whole.key.dropped if whole.key else []
    return (
        tell_many(
            "Dropped from the key: task {tasks}.",
            "Dropped from the key: tasks {tasks}.",
            len(tasks),
            tasks=", ".join(tasks),
        )
        if tasks
        else ""
    )

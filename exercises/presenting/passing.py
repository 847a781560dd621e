"""Whether people passed, ready to print: nothing where a class has no rule."""

from ..domain.results.passing import Passing, PassingRule, passing
from ..languages import tell, tell_many


def passing_of(whole, person) -> Passing | None:
    """What the rule of a class says of a person; `whole` is a `Debriefed`. None without a rule, and
    where nothing counts or not all of the class was looked at.
    """
    share = whole.course_class.pass_share
    if share is None or not whole.is_whole:
        return None
    key = str(person.pk)
    return passing(
        PassingRule(share),
        [answer.task for answer in whole.answers],
        {judged.task: judged.credit for judged in whole.by_person.get(key, [])},
        {judged.task for judged in whole.told.not_theirs if judged.person == key},
    )


def passing_lines(found):
    """What a person reads of it, as sentences; none without a rule."""
    if found is None:
        return []
    if found.passed:
        lines = [
            tell(
                "Passed: {percent} % of the credit, {needed} % are needed.",
                percent=found.percent,
                needed=found.rule.share,
            )
        ]
    else:
        lines = [
            tell(
                "Not there yet: {percent} % of the credit, {needed} % are needed.",
                percent=found.percent,
                needed=found.rule.share,
            ),
            tell_many(
                "{missing:g} of credit is missing; task {tasks} still has some to give.",
                "{missing:g} of credit is missing; tasks {tasks} still have some to give.",
                len(found.failed),
                missing=found.missing,
                tasks=", ".join(found.failed),
            ),
        ]
    if found.left_out:
        lines.append(
            tell_many(
                "Task {tasks} is left out: the ground or the compass spoilt it, not you.",
                "Tasks {tasks} are left out: the ground or the compass spoilt them, not you.",
                len(found.left_out),
                tasks=", ".join(found.left_out),
            )
        )
    return lines


def passing_cell(found):
    """The same in a cell of the instructor's table; empty without a rule."""
    if found is None:
        return ""
    if found.passed:
        return tell("passed, {percent} %", percent=found.percent)
    return tell(
        "{missing:g} missing: {tasks}", missing=found.missing, tasks=", ".join(found.failed)
    )

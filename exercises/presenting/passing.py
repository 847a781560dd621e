"""Whether people passed (`Debriefed.passing`), ready to print: nothing without a rule."""

from ..languages import tell, tell_many


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

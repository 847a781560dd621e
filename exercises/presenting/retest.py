"""A retest before it is made, and once it is: whose, and of which tasks."""

from ..languages import tell_many
from ..usecases.retest import missed_by


def retest_text(whole, people):
    """Whose retest of which tasks it would be, ready to print."""
    tasks = missed_by(whole, people)
    return {
        "who": ", ".join(person.name for person in people),
        "tasks": tell_many(
            "Task {tasks} of {course}.",
            "Tasks {tasks} of {course}.",
            len(tasks),
            tasks=", ".join(tasks),
            course=whole.course_class.course.name,
        )
        if tasks
        else "",
    }


def told_retest(made):
    """What was made, in sentences."""
    number = made.course_class.course.tasks.count()
    said = [tell_many("A course of {number} task.", "A course of {number} tasks.", number)]
    if made.elsewhere:
        said.append(
            tell_many(
                "Task {tasks} is asked elsewhere.",
                "Tasks {tasks} are asked elsewhere.",
                len(made.elsewhere),
                tasks=", ".join(made.elsewhere),
            )
        )
    if made.left_out:
        said.append(
            tell_many(
                "Task {tasks} is not on the course any more, and is left out.",
                "Tasks {tasks} are not on the course any more, and are left out.",
                len(made.left_out),
                tasks=", ".join(made.left_out),
            )
        )
    return " ".join(said)

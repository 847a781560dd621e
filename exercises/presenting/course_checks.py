"""The course check ready to print: each task's chances and mistakes, findings with their buttons,
and the course as a whole.
"""

from ..domain.earth.angles import three_digits
from ..domain.mistakes import causes
from ..domain.planning import course_check, measures, pairs
from ..domain.tasks.bands import PRESETS
from ..domain.tasks.kinds import is_place
from ..drawing.dial import answers_dial
from ..drawing.pair import pair as pair_drawing
from ..languages import tell, tell_many, told
from ..usecases import open_class
from .wording import answer_text, findings, pair_text, side_texts

QUADRANTS = ("000–090", "090–180", "180–270", "270–360")
STRONG, NONE = 5.0, 2.0  # as in `visibility.habit_strengths`


def checked(course, rows, on):
    """What the course page shows of the check for a date; `rows` are the course's tasks in order.
    Where there are no answers, `trouble` says why.
    """
    try:
        answers = open_class.compute_key(course, on)
    except open_class.NotReady as error:
        return {
            "answers": {},
            "trouble": told(error),
            "findings": [],
            "views": {},
            "measures": None,
        }
    ground = course.site.as_domain()
    found = findings(
        course_check.findings_on_site(
            [row.as_domain() for row in rows], ground, on, course.site.hazards_as_domain()
        )
    )
    was = {"": course.fingerprint(), **{str(row.number): row.fingerprint() for row in rows}}
    return {
        "answers": {
            answer.task: (answer_text(answer), side_texts(answer) if is_place(answer) else ())
            for answer in answers
        },
        "trouble": "",
        "findings": list(_by_task(found, was)),
        "views": {view.answer.task: _view(view) for view in course_check.task_views(answers)},
        "measures": measures_text(measures.measure(answers, ground)),
    }


def offered_pairs(course, on):
    """The pairs of tasks that the ground of a course offers and it does not ask yet, ready to
    print.
    """
    ground = course.site.as_domain()
    points = {code: {"name": point.name} for code, point in ground.points.items()}
    positions = {code: point.position for code, point in ground.points.items()}
    there = set(
        course.tasks.filter(given_deg__isnull=False, target__isnull=False).values_list(
            "station__code", "target__code", "given_deg"
        )
    )
    rows = []
    for found in pairs.offers(
        ground, on, PRESETS["usual"].band, dangers=course.site.hazards_as_domain()
    ):
        if (
            not {
                (*ends, found.given_deg) for ends in zip(found.stations, found.targets, strict=True)
            }
            <= there
        ):
            words = pair_text(found, points)
            rows.append(
                {"pair": found, **words, "drawing": pair_drawing(found, positions, words["leads"])}
            )
    return rows


def _by_task(found, was):
    """Findings of one task together, each of their changes once: (task, findings, what the task
    was, changes), what concerns the course last.
    """
    tasks = dict.fromkeys(
        sorted((finding.task for finding in found), key=lambda task: (not task, int(task or 0)))
    )
    for task in tasks:
        own = [finding for finding in found if finding.task == task]
        if task:
            yield (
                task,
                own,
                was[task],
                list(
                    {
                        change.words: _fields(change)
                        for finding in own
                        for change in finding.changes
                    }.values()
                ),
            )
        else:
            yield from (
                ("", [finding], was[""], [_fields(change) for change in finding.changes])
                for finding in own
            )


def _fields(change):
    """A change as the hidden fields of its button, and its words."""
    fields = {
        "verb": change.verb,
        "task": change.task,
        "target": change.target,
        "order": " ".join(change.order),
    }
    if change.band:
        fields |= {
            "full_credit_deg": f"{change.band.full_credit_deg:g}",
            "part_credit_deg": f"{change.band.part_credit_deg:g}",
        }
    return change.words, {name: value for name, value in fields.items() if value}


def names(codes):
    """Causes by their names, one after another."""
    return ", ".join(told(causes.name(code)) for code in codes)


def _view(view):
    return {
        "uncertainty": told(course_check.uncertainty_text(view.answer)),
        "chance": tell("{chance:.0%}", chance=view.chance),
        "is_fair": view.chance >= course_check.FAIR_CHANCE,
        "shows": names(view.shows),
        "hides": names(view.hides),
        "alike": "; ".join(
            tell("{one} and {other}", one=told(causes.name(one)), other=told(causes.name(other)))
            for one, other in view.alike
        ),
    }


def measures_text(measures):
    """The course as a whole: a dial with its answers, and everything that the dial cannot say, in
    words.
    """
    gap, walk = measures.gap, measures.walk
    said = {
        "dial": answers_dial(measures.bearings_deg),
        "quadrants": list(zip(QUADRANTS, measures.quadrants, strict=True)),
        "gap": tell(
            "Widest gap on the dial: {degrees:.0f}°, from {begin}° to {end}°.",
            degrees=gap.width_deg,
            begin=three_digits(gap.from_deg),
            end=three_digits(gap.to_deg),
        )
        if gap and len(measures.bearings_deg) > 1
        else "",
        "habits": [
            (
                told(causes.name(code)),
                tell("{strength:.1f}", strength=strength),
                _strength(strength),
            )
            for code, strength in measures.strengths.items()
        ],
        "shows": tell_many(
            "It can show {number} kind of mistake: {names}.",
            "It can show {number} kinds of mistake: {names}.",
            len(measures.shows),
            names=names(measures.shows),
        ),
        "never": tell("Never shown: {names}.", names=names(measures.never_shows))
        if measures.never_shows
        else "",
        "walk": tell(
            "Walk: {stations}, {metres:.0f} m as the crow flies.",
            stations=" → ".join(walk.stations),
            metres=walk.length_m,
        )
        if len(walk.stations) > 1
        else tell("One station: nobody walks."),
    }
    return said


def _strength(strength):
    return (
        tell("can be proved")
        if strength >= STRONG
        else tell("cannot be seen")
        if strength < NONE
        else tell("uncertain")
    )

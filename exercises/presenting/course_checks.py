"""The course check ready to print: each task's chances and mistakes, findings with their buttons,
and the course as a whole.
"""

import math

from ..domain.earth.angles import three_digits
from ..domain.planning import course_check, measures, pairs
from ..domain.planning.answer_checks import FAIR_CHANCE
from ..domain.planning.findings import NARROW, WIDEN
from ..domain.planning.visibility import PROVABLE
from ..domain.tasks.bands import PRESETS
from ..drawing.dial import answers_dial
from ..drawing.pair import pair as pair_drawing
from ..languages import tell, tell_many, told
from ..usecases import open_class
from .answers import words_of
from .causes import name_of
from .findings import said
from .lengths import desk_length
from .pairs import pair_text
from .power import power_text
from .probabilities import percent

QUADRANTS = ("000–090", "090–180", "180–270", "270–360")
NO_ANSWER = ("", ())  # in the place of an answer and the ways to it
HOPELESS = 2.0  # below, a habit cannot be seen (`visibility.habit_strengths`)


def checked(course, rows, ground, on):
    """What the course page shows of the check for a date; `rows` are its tasks
    in order, and come back with what is said of each; `ground` its `Surroundings`. Where there are
    no answers, `trouble` says why. `was` is the course as it is shown (`Course.fingerprint`).
    """
    shown = course.fingerprint()
    try:
        answers = open_class.compute_key(course, on)
    except open_class.NotReady as error:
        return {
            "was": shown,
            "tasks": [(row, NO_ANSWER, None) for row in rows],
            "trouble": told(error),
            "findings": [],
            "measures": None,
        }
    tasks = [row.as_domain() for row in rows]
    measured = measures.measure(answers, ground.site, ground.hazards)
    findings = said(
        course_check.findings_on_site(
            tasks, ground.site, on, ground.hazards, ground.bent, measures=measured
        )
    )
    was = {"": shown, **{str(row.number): row.fingerprint() for row in rows}}
    texts = {answer.task: _answer(answer) for answer in answers}
    views = {view.answer.task: _view(view) for view in course_check.task_views(answers)}
    return {
        "was": shown,
        "tasks": [
            (row, texts.get(str(row.number), NO_ANSWER), views.get(str(row.number))) for row in rows
        ],
        "trouble": "",
        "findings": list(_by_task(findings, was)),
        "measures": measures_text(measured),
    }


def shown(course, ground, on, people):
    """What a course with so many people can show, ready to print (`power.power_text`); None where
    it has no answers.
    """
    try:
        answers = open_class.compute_key(course, on)
    except open_class.NotReady:
        return None
    return power_text(answers, ground, on, people)


def _answer(answer):
    """An answer, and the ways to it."""
    words = words_of(answer)
    return words.answer_text(answer), words.ways_texts(answer)


def offered_pairs(course, ground, on):
    """The pairs of tasks that the ground of a course offers and it does not ask yet, ready to
    print.
    """
    points = {code: {"name": point.name} for code, point in ground.site.points.items()}
    positions = {code: point.position for code, point in ground.site.points.items()}
    there = set(
        course.tasks.filter(given_deg__isnull=False, target__isnull=False).values_list(
            "station__code", "target__code", "given_deg"
        )
    )
    offered = pairs.offers(ground, on, PRESETS["usual"].band)
    rows = []
    for pair in offered:
        ends = zip(pair.stations, pair.targets, strict=True)
        if not {(*line, pair.given_deg) for line in ends} <= there:
            words = pair_text(pair, points)
            drawing = pair_drawing(pair, positions, words["leads"])
            rows.append({"pair": pair, **words, "drawing": drawing})
    return rows


def _by_task(findings, was):
    """Findings of one task together, each of their changes once: (task, findings, what the task
    was, changes), the tasks with a danger first, what concerns the course last.
    """
    in_danger = {finding.task for finding in findings if finding.is_danger}
    tasks = sorted(
        {finding.task for finding in findings},
        key=lambda task: (not task, task not in in_danger, int(task or 0)),
    )
    for task in tasks:
        of_task = [finding for finding in findings if finding.task == task]
        if task:
            changes = {offer.words: offer for finding in of_task for offer in finding.changes}
            yield task, of_task, was[task], [_button(offer) for offer in changes.values()]
        else:
            yield from (
                ("", [finding], was[""], [_button(offer) for offer in finding.changes])
                for finding in of_task
            )


def _button(offer):
    """The words of a change, and the hidden fields of its button."""
    change = offer.change
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
    return offer.words, {name: value for name, value in fields.items() if value}


def change_text(change):
    """What a button of the check did; `change` holds what its form said."""
    task = change["task"]
    if change["verb"] in (WIDEN, NARROW):
        return tell(
            "Task {task}: full credit within {full:g}°, part credit within {part:g}°.",
            task=task,
            full=change["full_credit_deg"],
            part=change["part_credit_deg"],
        )
    if change["verb"] == "retarget":
        return tell("Task {task} asks for {target} now.", task=task, target=change["target"])
    if change["verb"] == "drop":
        return tell("Task {task} dropped. Those after it have moved up.", task=task)
    return tell("The tasks are in the order of the shorter walk.")


def names(codes):
    """Causes by their names, one after another."""
    return ", ".join(told(name_of(code)) for code in codes)


def _view(view):
    return {
        "uncertainty": words_of(view.answer).uncertainty_text(view.answer),
        "chance": percent(view.chance),
        "is_fair": view.chance >= FAIR_CHANCE,
        "shows": names(view.shows),
        "hides": names(view.hides),
        "alike": "; ".join(
            tell("{one} and {other}", one=told(name_of(one)), other=told(name_of(other)))
            for one, other in view.alike
        ),
    }


def measures_text(measures):
    """The course as a whole: a dial with its answers, and everything that the dial cannot say, in
    words.
    """
    habits = [
        (told(name_of(code)), tell("{strength:.1f}", strength=strength), _strength(strength))
        for code, strength in measures.strengths.items()
    ]
    return {
        "dial": answers_dial(measures.bearings_deg),
        "quadrants": list(zip(QUADRANTS, measures.quadrants, strict=True)),
        "gap": _gap(measures.gap) if measures.gap and len(measures.bearings_deg) > 1 else "",
        "habits": habits,
        "shows": tell_many(
            "It can show {number} kind of mistake: {names}.",
            "It can show {number} kinds of mistake: {names}.",
            len(measures.shows),
            names=names(measures.shows),
        ),
        "never": tell("Never shown: {names}.", names=names(measures.never_shows))
        if measures.never_shows
        else "",
        "walk": _walk(measures.walk),
    }


def _gap(gap):
    return tell(
        "Widest gap on the dial: {degrees:.0f}°, from {begin}° to {end}°.",
        degrees=gap.width_deg,
        begin=three_digits(gap.from_deg),
        end=three_digits(gap.to_deg),
    )


def _walk(walk):
    if len(walk.stations) < 2:
        return tell("One station: nobody walks.")
    way = {
        "stations": " → ".join(walk.stations),
        "length": desk_length(walk.length_m),
        "minutes": math.ceil(walk.minutes),
    }
    if walk.climb_m is None:
        return tell(
            "Walk: {stations}, {length} as the crow flies, {minutes} min on level ground by "
            "Naismith's rule; not all heights are known.",
            **way,
        )
    return tell(
        "Walk: {stations}, {length} as the crow flies and {climb} up, {minutes} min by Naismith's "
        "rule.",
        climb=desk_length(walk.climb_m),
        **way,
    )


def _strength(strength):
    return (
        tell("can be proved")
        if strength >= PROVABLE
        else tell("cannot be seen")
        if strength < HOPELESS
        else tell("uncertain")
    )

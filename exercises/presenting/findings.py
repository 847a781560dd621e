"""What a check found, and why a line was proposed, in words: what is so, and what cures it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from .. import vocabulary
from ..domain.planning.findings import DROP, REORDER, RETARGET, WIDEN, Change, Finding
from ..domain.words import Words, say, say_many, together
from ..languages import told
from . import position_findings
from .causes import WORDS as CAUSES

# of an ellipse: more than half of its variance is of the surveys
MOSTLY = 0.71


@dataclass(frozen=True)
class SaidChange:
    """A change with the words of its button."""

    change: Change
    words: str


@dataclass(frozen=True)
class SaidFinding:
    """A finding in the reader's language."""

    code: str
    task: str
    point: str
    what: str
    cure: str
    changes: tuple[SaidChange, ...]


def said(findings: Iterable[Finding]) -> list[SaidFinding]:
    """Findings in the reader's language, in their order."""
    return [
        SaidFinding(
            finding.code,
            finding.task,
            finding.point,
            told(what_is(finding)),
            told(cure_of(finding)),
            tuple(SaidChange(change, told(change_words(change))) for change in finding.changes),
        )
        for finding in findings
    ]


def reasons(pick) -> list[str]:
    """Why a line was picked, sentence by sentence."""
    return [told(what_is(reason)) for reason in pick.reasons]


def what_is(finding: Finding) -> Words:
    """What is so, with its numbers."""
    return WHAT[finding.code](finding.task, finding.values)


def cure_of(finding: Finding) -> Words:
    """What cures it."""
    return CURES[finding.code](finding.task, finding.values)


def change_words(change: Change) -> Words:
    """What a button says that makes a change."""
    return CHANGES[change.verb](change)


def _names(codes: Iterable[str]) -> Words:
    return together([CAUSES[code].name for code in codes], ", ")


def _leads_into_danger(task, values):
    hazard = {
        "hazard": values["hazard"],
        "kind": vocabulary.HAZARDS[values["hazard_kind"]],
        "distance": values["distance_m"],
    }
    if values["cause"] == "ok":
        return say(
            "The line itself leads into “{hazard}” ({kind}) after {distance:.0f} m.", **hazard
        )
    return say(
        "Who makes the mistake “{mistake}” walks {bearing:.0f}° true, into “{hazard}” "
        "({kind}) after {distance:.0f} m.",
        mistake=CAUSES[values["cause"]].name,
        bearing=values["bearing_deg"],
        **hazard,
    )


def _copied_answer_passes(task, values):
    tasks = {"one": values["one"], "other": values["other"]}
    if "spot" in values:
        return say(
            "Tasks {one} and {other} have the same answer {spot}: one can be copied for the other.",
            spot=values["spot"],
            **tasks,
        )
    if values["near"]:
        return say(
            "The answers of tasks {one} and {other} lie {degrees:.0f}° apart, and the people "
            "there are near each other: one can be copied for the other.",
            degrees=values["apart_deg"],
            **tasks,
        )
    return say(
        "The answers of tasks {one} and {other} lie {degrees:.0f}° apart: one can be "
        "copied for the other.",
        degrees=values["apart_deg"],
        **tasks,
    )


def _copied_cure(task, values):
    if "spot" in values:
        return say("Ask for another place in one of them.")
    return say("Choose another target for one of them.")


def _spot_cure(task, values):
    if values["surveys_m"] > MOSTLY * values["ellipse_m"]:
        return say(
            "Survey the mark and the places better (± {metres:.0f} m now), or choose a target with "
            "nothing near it.",
            metres=values["surveys_m"],
        )
    if values["is_walked"]:
        return say("Choose a target with nothing near it, or shorten the legs.")
    return say("Choose known points that cut better, or a narrower part-credit band.")


WHAT = {
    "no_tasks": lambda task, values: say("This course has no tasks."),
    "tolerance_tighter": lambda task, values: say(
        "Full credit within {band:g}° is tighter than the answer's own uncertainty of "
        "{uncertainty:.1f}°: perfect technique earns it {chance:.0%} of the time.",
        band=values["band_deg"],
        uncertainty=values["uncertainty_deg"],
        chance=values["chance"],
    ),
    "target_too_near": lambda task, values: say(
        "The target is only {distance:.0f} m away: survey and standing alone turn the "
        "line by {degrees:.1f}°.",
        distance=values["distance_m"],
        degrees=values["survey_deg"],
    ),
    "target_within_band": lambda task, values: say(
        "Target {code} lies only {degrees:.0f}° from the answer as seen from here: who "
        "sights it may earn credit.",
        code=values["code"],
        degrees=values["gap_deg"],
    ),
    "declination_hides": lambda task, values: say(
        "The angle between the norths is {degrees:.1f}° here, inside the band of "
        "{band:g}°: leaving it out earns full credit.",
        degrees=values["angle_deg"],
        band=values["band_deg"],
    ),
    "mirror_hides": lambda task, values: say(
        "The answer lies {degrees:.0f}° from north or south: a mirrored reading falls on it.",
        degrees=values["from_axis_deg"],
    ),
    "reversal_looks_alike": lambda task, values: say(
        "Target {code} lies opposite the answer: a reversed reading cannot be told from "
        "sighting {code}.",
        code=values["code"],
    ),
    "weak_field": lambda task, values: values["warning"],
    "offset_hides": lambda task, values: say(
        "No task asks for a magnetic bearing: a compass that is off cannot be told from "
        "a declination left out."
    ),
    "poor_cut": lambda task, values: say(
        "The lines cut at {degrees:.0f}° at best: along them sound bearings leave "
        "± {metres:.0f} m.",
        degrees=values["best_deg"],
        metres=values["ellipse_m"],
    ),
    **position_findings.WHAT,
    "few_spots": lambda task, values: say(
        "The map has room for {number} letters only: who guesses is often right.",
        number=values["number"],
    ),
    "spot_too_near": lambda task, values: say(
        "Sound technique ends nearest to {right} only {chance:.0%} of the time: {other} "
        "is {metres:.0f} m away, and technique and surveys leave ± {ellipse:.0f} m.",
        right=values["right"],
        chance=values["chance"],
        other=values["other"],
        metres=values["off_m"],
        ellipse=values["ellipse_m"],
    ),
    "nothing_measured": lambda task, values: say(
        "Nobody has measured this line when task {task} comes.", task=task
    ),
    "sought_on_map": lambda task, values: say(
        "The map has to show {point} for task {other}, and task {task} asks where it is.",
        point=values["point"],
        other=values["other"],
        task=task,
    ),
    "leads_into_danger": _leads_into_danger,
    "hazard_near": lambda task, values: say(
        "Station {station} is {distance:.0f} m from “{hazard}” ({kind}): a compass should "
        "be {least:.0f} m away.",
        station=values["station"],
        distance=values["distance_m"],
        hazard=values["hazard"],
        kind=vocabulary.HAZARDS[values["hazard_kind"]],
        least=values["least_m"],
    ),
    "bunched": lambda task, values: say(
        "The answers leave {degrees:.0f}° of the dial empty, from {begin:.0f}° to {end:.0f}°.",
        degrees=values["width_deg"],
        begin=values["from_deg"],
        end=values["to_deg"],
    ),
    "copied_answer_passes": _copied_answer_passes,
    "habits_hide": lambda task, values: say(
        "One person's readings of this course could not prove these habits: {habits}.",
        habits=_names(values["habits"]),
    ),
    "given_away": lambda task, values: say(
        "Task {other} gives the bearing that task {task} asks for: {station} to {target}.",
        other=values["other"],
        task=task,
        station=values["station"],
        target=values["target"],
    ),
    "long_walk": lambda task, values: say(
        "The walk from station to station is {length:.0f} m; in the order {order} it is "
        "{best:.0f} m.",
        length=values["length_m"],
        best=values["best_m"],
        order=" ".join(values["order"]),
    ),
    "walk_crosses": lambda task, values: say(
        "The straight way from {one} to {other} crosses “{hazard}” ({kind}).",
        one=values["one"],
        other=values["other"],
        hazard=values["hazard"],
        kind=vocabulary.HAZARDS[values["hazard_kind"]],
    ),
    # Why a line was proposed.
    "nearest_answer": lambda task, values: say(
        "The nearest other answer is {degrees:.0f}° away on the dial.", degrees=values["apart_deg"]
    ),
    "chance": lambda task, values: say(
        "Perfect technique earns full credit {chance:.0%} of the time.", chance=values["chance"]
    ),
    "shows_alone": lambda task, values: say(
        "Only this one shows: {causes}.", causes=_names(values["causes"])
    ),
    "shows": lambda task, values: say_many(
        "It shows {number} kind of mistake.",
        "It shows {number} kinds of mistake.",
        values["number"],
    ),
    "length": lambda task, values: say("{distance:.0f} m long.", distance=values["distance_m"]),
}

CURES = {
    "no_tasks": lambda task, values: say("Add at least one task."),
    "tolerance_tighter": lambda task, values: say(
        "Widen the full-credit band to {degrees:g}°.", degrees=values["fair_band_deg"]
    ),
    "target_too_near": lambda task, values: say(
        "Choose a target at least {distance:.0f} m away, or survey both points better.",
        distance=values["least_m"],
    ),
    "target_within_band": lambda task, values: say(
        "Narrow the band below {degrees:.0f}°, or mark {code} as not visible from {station}.",
        degrees=values["gap_deg"] / 2,
        code=values["code"],
        station=values["station"],
    ),
    "declination_hides": lambda task, values: say(
        "Teach declination on paper, with a map of elsewhere."
    ),
    "mirror_hides": lambda task, values: say("Choose a target at least 10° from north and south."),
    "reversal_looks_alike": lambda task, values: say("Choose a target with nothing opposite it."),
    "weak_field": lambda task, values: say("Expect slow needles, and widen the bands."),
    "offset_hides": lambda task, values: say("Ask at least three bearings in magnetic."),
    **position_findings.CURES,
    "few_spots": lambda task, values: say(
        "Narrow the part-credit band, or choose known points farther away."
    ),
    "spot_too_near": _spot_cure,
    "nothing_measured": lambda task, values: say(
        "Put a task “{kind}” from {station} to {target} before it.",
        kind=vocabulary.KINDS["map"],
        station=values["station"],
        target=values["target"],
    ),
    "sought_on_map": lambda task, values: say(
        "Measure another line on the map, or ask for another position."
    ),
    "leads_into_danger": lambda task, values: say(
        "Choose another target, or have people face it and not walk."
    ),
    "hazard_near": lambda task, values: say(
        "Move the mark {metres:.0f} m further away, or check it with fore and back bearings.",
        metres=values["farther_m"],
    ),
    "bunched": lambda task, values: say(
        "Add a task with an answer near {degrees:.0f}°.", degrees=values["middle_deg"]
    ),
    "copied_answer_passes": _copied_cure,
    "habits_hide": lambda task, values: say(
        "Ask more bearings, in magnetic and in true, or teach these on paper."
    ),
    "given_away": lambda task, values: say("Choose another target for one of them."),
    "long_walk": lambda task, values: say("Put the tasks in that order."),
    "walk_crosses": lambda task, values: say(
        "Show people the safe way round, or leave one of the stations out."
    ),
}

CHANGES = {
    WIDEN: lambda change: say(
        "Widen to {full:g}°, {part:g}°",
        full=change.band.full_credit_deg,
        part=change.band.part_credit_deg,
    ),
    RETARGET: lambda change: say("Ask for {target} instead", target=change.target),
    DROP: lambda change: say("Drop the task"),
    REORDER: lambda change: say("Put the tasks in that order"),
}

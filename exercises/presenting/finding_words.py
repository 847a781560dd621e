"""The words of what a check found and of what cures it, by code."""

from __future__ import annotations

from .. import vocabulary
from ..domain.planning.answer_checks import WIDEST_DEG
from ..domain.surveying.ground.estimate import FAULT_DEG
from ..domain.words import say, say_many
from . import pick_words, position_findings
from .causes import WORDS as CAUSES
from .pick_words import names
from .probabilities import percent

# of an ellipse: more than half of its variance is of the surveys
MOSTLY = 0.71


def _leads_into_danger(task, values):
    hazard = {
        "hazard": values["hazard"],
        "kind": vocabulary.HAZARDS[values["hazard_kind"]],
        "distance": values["distance_m"],
    }
    mistake = {"bearing": values["bearing_deg"], "mistake": CAUSES[values["cause"]].name}
    if values["gap_m"]:
        return _leads_past(hazard, mistake, values)
    if values["cause"] == "ok":
        return say(
            "The line itself leads into “{hazard}” ({kind}) after {distance:.0f} m.", **hazard
        )
    return say(
        "Who makes the mistake “{mistake}” walks {bearing:.0f}° true, into “{hazard}” "
        "({kind}) after {distance:.0f} m.",
        **mistake,
        **hazard,
    )


def _leads_past(hazard, mistake, values):
    near = {"gap": values["gap_m"], "clear": values["clear_m"]}
    if values["cause"] == "ok":
        return say(
            "The line itself leads past “{hazard}” ({kind}) at {gap:.0f} m; who walks by the "
            "needle should stay {clear:.0f} m away.",
            **{name: hazard[name] for name in ("hazard", "kind")},
            **near,
        )
    return say(
        "Who makes the mistake “{mistake}” walks {bearing:.0f}° true, past “{hazard}” ({kind}) at "
        "{gap:.0f} m; who walks by the needle should stay {clear:.0f} m away.",
        **mistake,
        **{name: hazard[name] for name in ("hazard", "kind")},
        **near,
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


def _farther(task, values):
    """What cures a mark near steel; of one that was found at fault there is nothing to check."""
    if values["is_bent"]:
        return say("Move the mark {metres:.0f} m further away.", metres=values["farther_m"])
    return say(
        "Move the mark {metres:.0f} m further away, or check it with fore and back bearings.",
        metres=values["farther_m"],
    )


def _copied_cure(task, values):
    if "spot" in values:
        return say("Ask for another place in one of them.")
    return say("Choose another target for one of them.")


def _tolerance_cure(task, values):
    if values["fair_band_deg"] > WIDEST_DEG:
        return say(
            "Choose a target farther away, or survey both points better: no band up to "
            "{degrees:g}° is fair here.",
            degrees=WIDEST_DEG,
        )
    return say("Widen the full-credit band to {degrees:g}°.", degrees=values["fair_band_deg"])


def _within_band_cure(task, values):
    place = {"code": values["code"], "station": values["station"]}
    if values["narrow_full_deg"]:
        return say(
            "Narrow full credit to {degrees:g}°. If {code} cannot be seen from {station}, note "
            "that.",
            degrees=values["narrow_full_deg"],
            **place,
        )
    return say(
        "No fair band tells them apart: choose another target. If {code} cannot be seen from "
        "{station}, note that.",
        **place,
    )


def _declination_hides(task, values):
    if values["target"]:
        return say(
            "The angle between the norths is {degrees:.1f}° here: who leaves it out still names "
            "{target}, and earns full credit.",
            degrees=values["angle_deg"],
            target=values["target"],
        )
    return say(
        "The angle between the norths is {degrees:.1f}° here, inside the band of "
        "{band:g}°: leaving it out earns full credit.",
        degrees=values["angle_deg"],
        band=values["band_deg"],
    )


def _declination_cure(task, values):
    if values["narrow_full_deg"]:
        return say(
            "Narrow full credit to {degrees:g}°, or teach declination on paper, with a map of "
            "elsewhere.",
            degrees=values["narrow_full_deg"],
        )
    return say("Teach declination on paper, with a map of elsewhere.")


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
    "sector_narrow": lambda task, values: say(
        "Target {code} lies {degrees:.0f}° beside the answer, and the answer's own uncertainty is "
        "{uncertainty:.1f}°: who faces the bearing perfectly names the right one {chance:.0%} of "
        "the time.",
        code=values["code"],
        degrees=values["gap_deg"],
        uncertainty=values["uncertainty_deg"],
        chance=values["chance"],
    ),
    "target_too_near": lambda task, values: say(
        "The target is only {distance:.0f} m away: survey and standing alone turn the "
        "line by {degrees:.1f}°.",
        distance=values["distance_m"],
        degrees=values["survey_deg"],
    ),
    "neighbour_earns_part": lambda task, values: say(
        "Target {code} lies {degrees:.0f}° from the answer as seen from here, inside part credit "
        "of {part:g}°: who sights it earns that.",
        code=values["code"],
        degrees=values["gap_deg"],
        part=values["part_deg"],
    ),
    "target_not_seen": lambda task, values: say_many(
        "{target} is not noted as seen from {station}; {number} target is.",
        "{target} is not noted as seen from {station}; {number} targets are.",
        values["number"],
        target=values["target"],
        station=values["station"],
    ),
    "sight_blocked": lambda task, values: say(
        "By the heights, the line from {station} to {target} passes {below:.1f} m below the ground "
        "at {point}, {along:.0f} m away: the rise hides the target.",
        station=values["station"],
        target=values["target"],
        below=values["below_m"],
        point=values["point"],
        along=values["along_m"],
    ),
    "station_bent": lambda task, values: say(
        "At station {station} the needle is off by {degrees:.1f}° ± {error:.1f}°, as was observed "
        "there: more than {limit:.0f}° with a probability of {chance}.",
        limit=FAULT_DEG,
        station=values["station"],
        degrees=abs(values["degrees"]),
        error=values["error_deg"],
        chance=percent(values["probability"]),
    ),
    "one_station": lambda task, values: say(
        "All {number} tasks with a needle are at station {station}: whatever bends it there shifts "
        "every answer alike, and cannot be told from a compass that is off.",
        number=values["number"],
        station=values["station"],
    ),
    "passed_twice": lambda task, values: say(
        "Groups come back to station {station} after {length:.0f} m.",
        station=values["station"],
        length=values["length_m"],
    ),
    "target_within_band": lambda task, values: say(
        "Target {code} lies only {degrees:.0f}° from the answer as seen from here: who "
        "sights it may earn credit.",
        code=values["code"],
        degrees=values["gap_deg"],
    ),
    "declination_hides": _declination_hides,
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
        habits=names(values["habits"]),
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
    **pick_words.WHAT,
}

CURES = {
    "no_tasks": lambda task, values: say("Add at least one task."),
    "tolerance_tighter": _tolerance_cure,
    "target_too_near": lambda task, values: say(
        "Choose a target at least {distance:.0f} m away, or survey both points better.",
        distance=values["least_m"],
    ),
    "sector_narrow": lambda task, values: say(
        "Choose a target that stands further from its neighbours."
    ),
    "target_within_band": _within_band_cure,
    "neighbour_earns_part": lambda task, values: say(
        "Narrow part credit to {degrees:g}°, or choose another target.",
        degrees=values["narrow_part_deg"],
    ),
    "target_not_seen": lambda task, values: say(
        "Look from the mark. If {target} is seen, note it at {station}; if not, choose another "
        "target.",
        target=values["target"],
        station=values["station"],
    ),
    "sight_blocked": lambda task, values: say(
        "Look from the mark. If {target} is not seen, choose another target; if it is, check the "
        "heights.",
        target=values["target"],
    ),
    "declination_hides": _declination_cure,
    "mirror_hides": lambda task, values: say(
        "Choose a target at least {degrees:.0f}° from north and south.",
        degrees=values["least_deg"],
    ),
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
        "Choose another target, or ask to sight it: then nobody walks."
    ),
    "station_bent": lambda task, values: say(
        "Move its tasks to another station, give the class the key that you shot on the ground, or "
        "move the mark and check it again."
    ),
    "one_station": lambda task, values: say("Ask at least one of them at another station."),
    "passed_twice": lambda task, values: say("Ask all tasks of a station one after another."),
    "hazard_near": _farther,
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

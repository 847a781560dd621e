"""Proposals on a hundred invented sites with dangers, before an independent judge
(`tests/dangerous_ground.py`): nobody is led into one, and what the check complains of is said.
"""

import datetime
import functools
import itertools

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.planning import course_check
from exercises.domain.planning.findings import Finding, Severity
from exercises.domain.planning.hazards import Hazard
from exercises.domain.planning.proposal import NothingToPick, propose
from exercises.domain.planning.weighing import Line
from exercises.domain.tasks.site import Point, Site, Task
from exercises.presenting.findings import sentences
from tests.dangerous_ground import Judge, ground
from tests.ground import bent_by

DAY = datetime.date(2026, 10, 3)
TASKS = 5
# a hundred sites where people walk, fewer where nobody does
SITES = {"follow": range(100), "sight": range(40)}
SAYS_SO = {"no_other", "so_everywhere"}


@functools.cache
def proposed(seed, kind):
    """(site, hazards, proposal or None) of a seed."""
    site, hazards = ground(seed)
    try:
        return site, hazards, propose(site, DAY, tasks=TASKS, kind=kind, hazards=hazards)
    except NothingToPick:
        return site, hazards, None


def picks_of(kind):
    for seed in SITES[kind]:
        site, hazards, found = proposed(seed, kind)
        for pick in found.picks if found else ():
            yield site, hazards, pick


def check_of(kind, seed):
    """(pick, findings of the check on its task or station) of each pick."""
    site, hazards, found = proposed(seed, kind)
    picks = found.picks if found else ()
    tasks = [
        Task(str(number), kind, *pick.line.ends, pick.line.north, pick.answer.band)
        for number, pick in enumerate(picks, start=1)
    ]
    findings = course_check.findings_on_site(tasks, site, DAY, hazards)
    for number, pick in enumerate(picks, start=1):
        yield (
            pick,
            [
                finding
                for finding in findings
                if finding.task == str(number) or finding.point == pick.line.station
            ],
        )


def codes(findings):
    return {finding.code for finding in findings}


def test_the_judge_finds_danger_on_most_sites_and_safe_lines_too():
    # else the tests below would prove nothing
    sites = [(Judge(*ground(seed)), ground(seed)[0]) for seed in range(10)]
    unsafe = [
        judge.is_unsafe_line(station, target, 10.0)
        for judge, site in sites
        for station in "ABCDE"
        for target in site.choices_from(station)
    ]

    assert 0.2 < sum(unsafe) / len(unsafe) < 0.95


def test_no_line_to_follow_leads_into_a_danger():
    unsafe = [
        pick.line
        for site, hazards, pick in picks_of("follow")
        if Judge(site, hazards).is_unsafe_line(*pick.line.ends, pick.answer.norths.declination_deg)
    ]

    assert unsafe == []


def test_no_line_to_follow_begins_near_a_power_line():
    assert [
        pick.line
        for site, hazards, pick in picks_of("follow")
        if Judge(site, hazards).is_under_wires(pick.line.station)
    ] == []


def test_a_sight_near_a_power_line_is_picked_only_where_it_says_that_there_is_no_other():
    near = [
        pick
        for site, hazards, pick in picks_of("sight")
        if Judge(site, hazards).is_under_wires(pick.line.station)
    ]

    assert all({"hazard_near", "no_other"} <= codes(pick.against) for pick in near)
    assert len(near) <= 1  # of 200; several where the distance is only a weight


@pytest.mark.parametrize("kind", ["sight", "follow"])
def test_a_pick_of_which_the_check_complains_says_what_and_that_there_is_no_other(kind):
    checked = [each for seed in range(25) for each in check_of(kind, seed)]
    complaints = [(pick, findings) for pick, findings in checked if findings]

    assert complaints
    for pick, findings in complaints:
        # what the check calls a copied answer, a pick calls so of itself
        assert codes(findings) - {"copied_answer_passes"} <= codes(pick.against)
        assert codes(pick.against) & SAYS_SO


@pytest.mark.parametrize("kind", ["sight", "follow"])
def test_a_way_between_stations_over_a_danger_is_said(kind):
    silent = []
    for seed in SITES[kind]:
        site, hazards, found = proposed(seed, kind)
        stations = found.measures.walk.stations if found else ()
        crossing = {
            other
            for one, other in itertools.pairwise(stations)
            if Judge(site, hazards).is_unsafe_walk(one, other)
        }
        said = {
            finding.values["other"]
            for pick in (found.picks if found else ())
            for finding in pick.against
            if finding.code == "walk_crosses"
        }
        silent += sorted(crossing - said)

    assert silent == []


def test_no_station_across_a_river_is_picked_where_others_are_enough():
    # A and B on one bank, C on the other, from which the dial would be covered best
    middle = Position(47.6, -121.9)
    marks = (("A", 200, 60), ("B", 150, 60), ("C", 0, 60))
    targets = [(f"T{number}", 20 + 45 * number, 400) for number in range(8)]
    points = {
        code: Point(
            code,
            code,
            destination(middle, bearing, metres),
            0.3,
            "peg" if len(code) == 1 else "",
            is_target=len(code) > 1,
        )
        for code, bearing, metres in (*marks, *targets)
    }
    river = Hazard("water", "the beck", tuple(destination(middle, at, 900) for at in (90, 270)))

    def stations(hazards):
        found = propose(Site(points), DAY, tasks=6, hazards=hazards)
        return {pick.line.station for pick in found.picks}

    assert stations([]) == {"A", "B", "C"}
    assert stations([river]) == {"A", "B"}


def test_where_too_few_lines_are_safe_it_says_how_many_were_left_out():
    short = [
        found
        for seed in SITES["follow"]
        for _, _, found in [proposed(seed, "follow")]
        if found and len(found.picks) < TASKS
    ]

    assert short
    assert all(found.unsafe > 0 for found in short)


def test_where_no_line_is_safe_nothing_is_proposed_and_it_says_why():
    site, _ = ground(3)
    inside = Site({code: site.points[code] for code in ("A", "T1")})
    wall = [Hazard("drop", "the edge", tuple(inside.points[code].position for code in ("A", "T1")))]

    with pytest.raises(NothingToPick, match="No line is safe here"):
        propose(inside, DAY, tasks=2, kind="follow", hazards=wall)


def test_a_line_that_people_keep_stays_and_its_danger_is_said():
    site, hazards, _ = proposed(0, "follow")
    judge = Judge(site, hazards)
    unsafe = next(
        Line(station, target, "magnetic")
        for station in "ABCDE"
        for target in site.choices_from(station)
        if judge.is_unsafe_line(station, target, 0.0)
    )

    found = propose(site, DAY, tasks=2, kind="follow", hazards=hazards, keep=[unsafe])

    (kept,) = [pick for pick in found.picks if pick.kept]
    assert kept.line == unsafe
    assert kept.against[0].code == "leads_into_danger"
    assert not codes(kept.against) & SAYS_SO  # there may be others: it was kept


def test_a_station_at_fault_is_not_proposed_where_there_is_another():
    site, _ = ground(5)
    bent = {"A": bent_by(8.0, 0.7), "B": bent_by(-6.0, 0.5)}

    with_fault = propose(site, DAY, tasks=TASKS, bent=bent)

    assert {pick.line.station for pick in propose(site, DAY, tasks=TASKS).picks} & set(bent)
    assert not {pick.line.station for pick in with_fault.picks} & set(bent)


def test_where_all_stations_are_at_fault_it_is_said_in_words():
    site, _ = ground(5)

    found = propose(site, DAY, tasks=2, bent={code: bent_by(8.0, 0.7) for code in "ABCDE"})

    for pick in found.picks:
        assert any(
            sentence.startswith(f"At station {pick.line.station} the needle is off by 8.0° ± 0.7°")
            for sentence in sentences(pick.against)
        )
        assert sentences(pick.against)[-1] == (
            "There is no other: each line left has as much against it."
        )


def test_no_exchange_of_one_pick_would_leave_the_check_with_less_to_say():
    # by brute force over every other line: what "there is no other" claims
    seed = next(
        seed
        for seed in SITES["sight"]
        if proposed(seed, "sight")[2].candidates < 30
        and any("no_other" in codes(pick.against) for pick in proposed(seed, "sight")[2].picks)
    )
    site, hazards, found = proposed(seed, "sight")
    lines = [pick.line for pick in found.picks]

    def cost(picked):
        tasks = [
            Task(str(number), "sight", *line.ends, line.north, found.picks[0].answer.band)
            for number, line in enumerate(picked, start=1)
        ]
        severities = [
            finding.severity
            for finding in course_check.findings_on_site(tasks, site, DAY, hazards)
            if finding.code not in ("declination_hides", "weak_field")
            and (finding.task or finding.point)
        ]
        return severities.count(Severity.FAULT)

    others = [
        Line(station, target, north)
        for station in {line.station for line in lines}
        for target in site.choices_from(station)
        for north in ("magnetic", "true")
        if (station, target) not in {line.ends for line in lines}
    ]
    poor = [place for place, pick in enumerate(found.picks) if "no_other" in codes(pick.against)]
    assert all(
        cost([*lines[:place], other, *lines[place + 1 :]]) >= cost(lines)
        for place in poor
        for other in others
    )


def test_a_pick_is_no_answer_to_copy_for_a_task_that_the_course_has():
    site, _ = ground(7)
    there = [
        Task(str(number), "sight", *pick.line.ends, pick.line.north, pick.answer.band)
        for number, pick in enumerate(propose(site, DAY, tasks=3).picks, start=1)
    ]
    refused = [Line(task.station, task.target, task.north) for task in there]

    added = propose(site, DAY, tasks=3, refuse=refused, beside=there)

    tasks = there + [
        Task(str(number), "sight", *pick.line.ends, pick.line.north, pick.answer.band)
        for number, pick in enumerate(added.picks, start=4)
    ]
    assert "copied_answer_passes" not in codes(course_check.findings_on_site(tasks, site, DAY))


def test_a_reason_costs_nothing_and_a_danger_the_most():
    order = [
        Finding(code).severity
        for code in ("length", "mirror_hides", "hazard_near", "leads_into_danger")
    ]

    assert order == sorted(order)
    assert order == [Severity.REASON, Severity.NOTE, Severity.FAULT, Severity.DANGER]

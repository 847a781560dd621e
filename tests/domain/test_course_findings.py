"""What the check finds about seeing, walking and credit, what it says of it, and what cures it."""

import datetime
import random
from dataclasses import replace

import pytest

from exercises.domain.earth.geodesy import Position, destination
from exercises.domain.earth.norths import Norths
from exercises.domain.planning import course_check
from exercises.domain.planning.answer_checks import (
    answer_findings,
    chance_of_full_credit,
    fair_band_deg,
)
from exercises.domain.planning.findings import SEVERITIES, Severity
from exercises.domain.planning.hazards import Hazard
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.site import Point, Site, Task
from exercises.presenting.finding_words import CURES
from exercises.presenting.findings import cure_of, said, what_is
from tests.ground import answer, bent_by

DAY = datetime.date(2026, 10, 3)  # declination 25.6 degrees east there
MIDDLE = Position(-45.13, 170.10)


def ground(*targets, stations=(("A", 0, 0.1),), seen=None, heights=None):
    """A site of stations and targets at (code, bearing, distance); all are seen unless said."""
    points = {}
    for is_station, group in ((True, stations), (False, targets)):
        for code, bearing, distance in group:
            place = destination(MIDDLE, bearing, distance)
            height = (heights or {}).get(code, 0.0)
            position = Position(place.latitude_deg, place.longitude_deg, height)
            points[code] = Point(code, code, position, 0.3, "peg" if is_station else "")
    every = tuple(code for code, _, _ in targets)
    notes = {code: every for code, _, _ in stations} if seen is None else seen
    return Site(points, notes, 2193)


def task(label, target, station="A", north="magnetic", band=(5, 10), kind="sight"):
    return Task(label, kind, station, target, north, Band(*band))


def found(code, tasks, site, hazards=(), **known):
    """The findings of a code."""
    every = course_check.findings_on_site(tasks, site, DAY, hazards, **known)
    return [finding for finding in every if finding.code == code]


def verbs(finding):
    return [(change.verb, change.target or change.band) for change in finding.changes]


@pytest.mark.parametrize("kind", ["sight", "follow"])
def test_a_target_that_is_not_noted_as_seen_is_named_with_one_that_is(kind):
    site = ground(("T", 70, 300), ("U", 160, 300), seen={"A": ("U",)})

    (finding,) = found("target_not_seen", [task("1", "T", kind=kind)], site)

    assert what_is(finding) == "T is not noted as seen from A; 1 target is."
    assert cure_of(finding) == (
        "Look from the mark. If T is seen, note it at A; if not, choose another target."
    )
    assert verbs(finding) == [("retarget", "U"), ("drop", None)]
    assert finding.severity == Severity.FAULT


@pytest.mark.parametrize(
    ("seen", "kind"),
    [({"A": ("T", "U")}, "sight"), ({}, "sight"), ({"A": ("U",)}, "back"), ({"A": ("U",)}, "map")],
    ids=["noted", "nothing noted anywhere", "turned round at the desk", "measured on the map"],
)
def test_a_target_that_is_noted_or_need_not_be_seen_is_not_named(seen, kind):
    site = ground(("T", 70, 300), ("U", 160, 300), seen=seen)
    north = "grid" if kind == "map" else "magnetic"

    assert found("target_not_seen", [task("1", "T", kind=kind, north=north)], site) == []


def test_a_target_behind_a_rise_is_named_with_the_metres():
    site = ground(
        ("T", 70, 400),
        ("P", 70, 200),
        ("U", 160, 300),
        heights={"A": 100.0, "T": 100.0, "P": 104.0, "U": 100.0},
    )

    (finding,) = found("sight_blocked", [task("1", "T")], site)

    assert what_is(finding) == (
        "By the heights, the line from A to T passes 3.2 m below the ground at P, 200 m away: the "
        "rise hides the target."
    )
    assert ("retarget", "U") in verbs(finding)


def test_all_needles_on_one_mark_are_named():
    site = ground(
        ("T", 70, 300), ("U", 160, 300), ("V", 250, 300), stations=(("A", 0, 0.1), ("B", 90, 60))
    )
    tasks = [task(str(number), target) for number, target in enumerate("TUV", start=1)]

    (finding,) = found("one_station", tasks, site)

    assert what_is(finding) == (
        "All 3 tasks with a needle are at station A: whatever bends it there shifts every answer "
        "alike, and cannot be told from a compass that is off."
    )
    assert cure_of(finding) == "Ask at least one of them at another station."
    assert found("one_station", [*tasks[:2], replace(tasks[2], station="B")], site) == []


def power_line(bearing, distance):
    middle = destination(MIDDLE, bearing, distance)
    ends = (destination(middle, bearing + turn, 400) for turn in (-90, 90))
    return Hazard("power_line", "the grid line", tuple(ends))


@pytest.mark.parametrize("kind", ["follow", "face"])
def test_a_walk_under_a_power_line_is_a_danger(kind):
    site, north = ground(("T", 70, 300), ("U", 250, 300)), "true"

    (finding,) = found(
        "leads_into_danger", [task("1", "T", kind=kind, north=north)], site, [power_line(70, 200)]
    )

    assert what_is(finding) == (
        "The line itself leads into “the grid line” (High-tension power line) after 200 m."
    )
    assert finding.severity == Severity.DANGER
    assert cure_of(finding) == ("Choose another target, or ask to sight it: then nobody walks.")


def test_a_walk_within_the_published_distance_of_a_power_line_is_one_too():
    # FM 3-25.26 ch. 9: 55 m; the walk ends after 250 m, 50 m short of it
    site = ground(("T", 70, 200))

    (finding,) = found(
        "leads_into_danger", [task("1", "T", kind="follow")], site, [power_line(70, 300)]
    )

    assert what_is(finding) == (
        "The line itself leads past “the grid line” (High-tension power line) at 50 m; who walks "
        "by the needle should stay 55 m away."
    )
    assert found("leads_into_danger", [task("1", "T")], site, [power_line(70, 300)]) == []


def test_no_target_is_offered_instead_that_leads_into_a_danger_as_well():
    # one fault fewer at U, but the pond lies all round
    site = ground(("T", 70, 300), ("T2", 75, 300), ("U", 160, 300))
    moat = tuple(destination(MIDDLE, bearing, 100) for bearing in (*range(0, 360, 30), 0))
    tasks = [task("1", "T", kind="follow")]

    (finding,) = found("leads_into_danger", tasks, site, [Hazard("water", "the moat", moat)])

    assert verbs(finding) == [("drop", None)]


def test_dangers_come_first():
    site = ground(("N", 70, 12), ("T", 160, 300))
    tasks = [task("1", "N"), task("2", "T", kind="follow")]

    findings = said(course_check.findings_on_site(tasks, site, DAY, [power_line(160, 200)]))

    assert [finding.is_danger for finding in findings][:2] == [True, False]


def test_a_needless_correction_to_the_other_side_leads_into_a_danger_too():
    # asked in magnetic, D is 25.6 degrees: added where nothing is to be added, or taken away
    site = ground(("T", 70, 200))
    for turn in (25.6, -25.6):
        spot = Hazard("drop", "the shaft", (destination(MIDDLE, 70 + turn, 150),))
        assert found("leads_into_danger", [task("1", "T", kind="follow")], site, [spot]), turn


@pytest.mark.parametrize(
    ("gap", "code"),
    [(8.2, "neighbour_earns_part"), (9.8, "neighbour_earns_part"), (7.8, "target_within_band")],
)
def test_a_neighbour_within_part_credit_is_named(gap, code):
    one = answer(north="magnetic", others=(("U", 74.0 + gap),))

    assert [finding.code for finding in answer_findings(one) if finding.values.get("code")] == [
        code
    ]


def test_a_neighbour_beyond_part_credit_is_not_named():
    one = answer(north="magnetic", others=(("U", 74.0 + 10.2),))

    assert [finding for finding in answer_findings(one) if finding.values.get("code")] == []


def test_part_credit_that_is_narrowed_as_offered_earns_a_neighbour_nothing():
    site, tasks = ground(("T", 70, 300), ("U", 79, 300)), [task("1", "T")]
    (finding,) = found("neighbour_earns_part", tasks, site)

    assert "lies 9° from the answer" in what_is(finding)
    assert "part credit of 10°" in what_is(finding)
    (change,) = [change for change in finding.changes if change.verb == "narrow"]

    assert change.band == Band(5, 8.5)
    assert found("neighbour_earns_part", [replace(tasks[0], band=change.band)], site) == []


def test_full_credit_is_narrowed_only_to_what_a_compass_can_hold():
    # 7.8 degrees apart: below 4.8 the neighbour is told apart, and 4.5 is fair; 5 apart: 2 is not
    apart, close = (
        answer(north="magnetic", others=(("U", 74.0 + gap),), band=Band(5, 10))
        for gap in (7.8, 5.0)
    )

    (far,) = [one for one in answer_findings(apart) if one.code == "target_within_band"]
    (near,) = [one for one in answer_findings(close) if one.code == "target_within_band"]

    assert fair_band_deg(apart) <= 4.5
    assert cure_of(far).startswith("Narrow full credit to 4.5°.")
    assert cure_of(near).startswith("No fair band tells them apart: choose another target.")


@pytest.mark.parametrize("gap", [0.0, 0.4, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0])
@pytest.mark.parametrize("band", [Band(2, 4), Band(3, 6), Band(5, 10), Band(10, 20)])
def test_no_band_is_recommended_below_a_degree_or_below_a_fair_one(gap, band):
    one = answer(north="magnetic", others=(("U", 74.0 + gap),), band=band)

    for finding in answer_findings(one):
        for name in ("narrow_full_deg", "narrow_part_deg"):
            narrow_deg = finding.values.get(name)
            assert narrow_deg is None or narrow_deg >= max(1.0, min(fair_band_deg(one), 20.0))


def test_a_declination_that_nobody_applies_cannot_be_left_out():
    # asked in magnetic the needle shows the answer; in true, 3 degrees hide within 5
    codes = {
        north: [
            finding.code
            for finding in answer_findings(answer(north=north, norths=Norths(3.0, 0.0)))
        ]
        for north in ("magnetic", "true")
    }

    assert "declination_hides" not in codes["magnetic"]
    assert "declination_hides" in codes["true"]


def test_a_declination_inside_the_band_is_told_with_a_narrower_one_where_that_is_fair():
    (wide,) = [
        one
        for one in answer_findings(answer(north="true", norths=Norths(4.8, 0.0)))
        if one.code == "declination_hides"
    ]
    (small,) = [
        one
        for one in answer_findings(answer(north="true", norths=Norths(1.5, 0.0)))
        if one.code == "declination_hides"
    ]

    assert what_is(wide) == (
        "The angle between the norths is 4.8° here, inside the band of 5°: leaving it out earns "
        "full credit."
    )
    assert cure_of(wide).startswith("Narrow full credit to 4.5°, or teach declination on paper")
    assert cure_of(small) == "Teach declination on paper, with a map of elsewhere."


def test_of_a_target_to_name_it_is_said_that_it_is_named_all_the_same():
    one = answer(
        kind="follow",
        given_deg=74.0,
        given_north="true",
        norths=Norths(3.0, 0.0),
        others=(("U", 254.0),),
    )
    (finding,) = [each for each in answer_findings(one) if each.code == "declination_hides"]

    assert what_is(finding) == (
        "The angle between the norths is 3.0° here: who leaves it out still names T1, and earns "
        "full credit."
    )


def test_where_no_band_makes_sense_none_is_recommended():
    # 4 m away, each coordinate good to 0.3 m and 0.3 m beside the mark: some 8 degrees, one sigma
    site = ground(("N", 70, 4), ("F", 250, 300))

    (near,) = found("tolerance_tighter", [task("1", "N")], ground(("N", 70, 2.5)))
    (fair,) = found("tolerance_tighter", [task("1", "F", band=(2, 4))], site)

    assert cure_of(near) == (
        "Choose a target farther away, or survey both points better: no band up to 20° is fair "
        "here."
    )
    assert [verb for verb, _ in verbs(near)] == ["drop"]
    assert cure_of(fair).startswith("Widen the full-credit band to ")


@pytest.mark.parametrize("full", [2, 5, 10, 18])
def test_a_mirrored_reading_is_told_apart_at_the_distance_from_north_that_is_recommended(full):
    (finding,) = [
        one
        for one in answer_findings(answer(north="true", true_deg=1.0, band=Band(full, 20)))
        if one.code == "mirror_hides"
    ]
    least_deg = finding.values["least_deg"]
    moved = answer(north="true", true_deg=float(least_deg), band=Band(full, 20))

    assert f"at least {least_deg:.0f}° from north" in cure_of(finding)
    assert "mirror_hides" not in [one.code for one in answer_findings(moved)]


def test_a_station_to_which_groups_come_back_is_named_with_an_order_that_does_not():
    site = ground(
        ("T", 70, 900), ("U", 150, 900), ("V", 230, 900), stations=(("A", 0, 0.1), ("B", 90, 100))
    )
    tasks = [task("1", "T"), task("2", "U", station="B"), task("3", "V")]

    (finding,) = found("passed_twice", tasks, site)

    assert what_is(finding) == "Groups come back to station A after 200 m."
    assert finding.changes[0].order == ("1", "3", "2")
    reordered = [tasks[0], tasks[2], tasks[1]]
    assert found("passed_twice", reordered, site) == []


def test_a_way_over_a_danger_is_taken_out_by_another_order_where_there_is_one():
    stations = (("A", 0, 0.1), ("C", 0, 100), ("B", 90, 300))
    site = ground(("T", 70, 900), ("U", 150, 900), ("V", 230, 900), stations=stations)
    middle = destination(MIDDLE, 0, 50)
    river = Hazard("water", "the beck", tuple(destination(middle, turn, 120) for turn in (90, 270)))
    tasks = [task("1", "T"), task("2", "U", station="C"), task("3", "V", station="B")]

    (finding,) = found("walk_crosses", tasks, site, [river])

    assert what_is(finding) == "The straight way from A to C crosses “the beck” (Water)."
    assert finding.changes[0].order == ("1", "3", "2")


def test_a_station_that_the_check_of_the_ground_found_at_fault_is_named():
    site = ground(("T", 70, 300))

    (finding,) = found("station_bent", [task("1", "T")], site, bent={"A": bent_by(-6.2, 0.9)})

    assert finding.point == "A"
    assert what_is(finding) == (
        "At station A the needle is off by 6.2° ± 0.9°, as was observed there: more than 3° with a "
        "probability of >99%."
    )
    assert found("station_bent", [task("1", "T")], site, bent={"B": bent_by(9, 1)}) == []


def test_whatever_has_a_cure_has_a_severity():
    # a finding without one would pass for a reason to pick a line
    assert set(CURES) - set(SEVERITIES) == set()
    assert set(SEVERITIES) - set(CURES) == {"copied_here"}  # said of a pick alone


def test_a_mark_near_steel_is_to_be_checked_until_it_was():
    site = ground(("T", 70, 300))
    gate = Hazard("steel", "the gate", (destination(site.point("A").position, 90, 8),))

    (unchecked,) = found("hazard_near", [task("1", "T")], site, [gate])
    (checked,) = found("hazard_near", [task("1", "T")], site, [gate], bent={"A": bent_by(9, 1)})

    assert "or check it with fore and back bearings" in cure_of(unchecked)
    assert "check it" not in cure_of(checked)


@pytest.mark.parametrize("gap_deg", [4.0, 8.0, 20.0, 80.0])
def test_the_chance_to_face_the_right_target_is_that_of_facing_its_sector(gap_deg):
    # Truth by 20,000 drawn directions (seed 3): the target nearest to what is faced is named.
    followed = answer(
        kind="follow", given_deg=74.0, given_north="true", others=[("U", 74 + gap_deg)]
    )
    rng = random.Random(3)
    faced = [rng.gauss(0.0, followed.budget.total_deg) for _ in range(20_000)]
    right = sum(abs(off) < abs(off - gap_deg) for off in faced) / len(faced)

    assert chance_of_full_credit(followed) == pytest.approx(right, abs=0.012)


def test_a_neighbour_that_perfect_technique_may_face_is_named():
    site = ground(("T", 70, 300), ("U", 72, 300))

    (finding,) = found("sector_narrow", [task("1", "T", kind="follow")], site)

    assert (finding.values["code"], round(finding.values["gap_deg"], 1)) == ("U", 2.0)
    assert found("tolerance_tighter", [task("1", "T", kind="follow")], site) == []

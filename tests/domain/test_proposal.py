"""The proposer: what it promises holds for what it picks, and people overrule it."""

import csv
import datetime
from dataclasses import replace
from pathlib import Path

import pytest

from exercises.domain.planning.answer_checks import FAIR_CHANCE, chance_of_full_credit
from exercises.domain.planning.proposal import Line, NothingToPick, propose
from exercises.domain.tasks.site import Site
from exercises.exchange import tables
from exercises.presenting.findings import sentences

DAY = datetime.date(2026, 10, 3)
TABLE = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "terrace_points.csv"


@pytest.fixture(scope="module")
def site():
    """The demonstration's ground: invented data, used here for its size."""
    with open(TABLE, encoding="utf-8", newline="") as stream:
        points = tables.read_points("points", stream)
    with open(TABLE, encoding="utf-8", newline="") as stream:
        sees = {
            row["point"]: tuple(row["sees"].split())
            for row in csv.DictReader(stream)
            if row["sees"]
        }
    return Site(points, sees, 2193)


def said(pick):
    return sentences((*pick.reasons, *pick.against))


def lines(found):
    return [(pick.line.station, pick.line.target) for pick in found.picks]


@pytest.fixture(scope="module")
def eight(site):
    return propose(site, DAY, tasks=8)


def test_a_proposal_covers_the_dial(eight):
    assert len(eight.picks) == 8
    assert eight.measures.gap.width_deg < 100  # eight evenly spread bearings leave 45
    assert min(eight.measures.quadrants) >= 1


def test_a_proposal_is_fair_and_its_habits_can_be_proved(eight):
    assert all(chance_of_full_credit(pick.answer) >= FAIR_CHANCE for pick in eight.picks)
    assert set(eight.measures.weak_habits) <= {"convergence_ignored"}


def test_a_proposal_has_no_answers_to_copy(eight):
    assert eight.measures.twins == ()


def test_magnetic_and_true_are_asked_alike(eight):
    norths = [pick.line.north for pick in eight.picks]

    assert (norths.count("magnetic"), norths.count("true")) == (4, 4)


def test_a_proposal_walks_in_its_shortest_order(eight):
    assert eight.measures.walk.length_m == pytest.approx(eight.measures.walk.best_m)


def test_the_same_ground_and_day_give_the_same_course(site, eight):
    assert lines(propose(site, DAY, tasks=8)) == lines(eight)


def test_each_pick_says_why_with_a_number(eight):
    for pick in eight.picks:
        assert said(pick)[0].startswith("The nearest other answer is ")
        assert all(
            any(character.isdigit() for character in reason)
            or reason.startswith("Only this one shows")
            for reason in said(pick)
        )


def test_a_kept_line_stays_in_its_north(site):
    found = propose(site, DAY, tasks=5, keep=[Line("C", "T12", "magnetic")])

    (kept,) = [pick for pick in found.picks if pick.kept]
    assert kept.line == Line("C", "T12", "magnetic")


def test_a_refused_line_does_not_come_back_in_any_north(site, eight):
    refused = eight.picks[0].line

    found = propose(site, DAY, tasks=8, refuse=[refused])

    assert (refused.station, refused.target) not in lines(found)
    assert len(found.picks) == 8


def test_where_few_lines_are_seen_fewer_tasks_come(site):
    small = Site(site.points, {"A": ("T1", "T3"), **dict.fromkeys("BCDEFGH", ("T1",))}, 2193)

    found = propose(
        small, DAY, tasks=20, refuse=[Line(station, "T1", "true") for station in "BCDEFGH"]
    )

    assert sorted(lines(found)) == [("A", "T1"), ("A", "T3")]


def test_ground_without_stations_gives_nothing(site):
    targets = {code: point for code, point in site.points.items() if not point.is_station}

    with pytest.raises(NothingToPick, match="Add a mark to stand on"):
        propose(Site(targets), DAY, tasks=3)


def test_all_in_one_north_when_asked_so(site):
    assert {pick.line.north for pick in propose(site, DAY, tasks=3, north="grid").picks} == {"grid"}


def test_tasks_to_follow_are_proposed_as_such(site):
    assert {pick.answer.kind for pick in propose(site, DAY, tasks=3, kind="follow").picks} == {
        "follow"
    }


def test_a_station_where_nothing_is_noted_is_not_proposed(site):
    found = propose(Site(site.points, {"A": ("T1", "T3", "T5")}, 2193), DAY, tasks=9)

    assert {station for station, _ in lines(found)} == {"A"}


def test_what_the_check_finds_about_a_pick_is_said(site):
    near = Site(site.points, {"C": ("T12", "T10")}, 2193)

    assert any(
        "lies only" in reason for pick in propose(near, DAY, tasks=2).picks for reason in said(pick)
    )


def test_where_all_points_are_one_place_nothing_is_picked(site):
    one = {code: replace(site.points[code], position=site.points["A"].position) for code in "AB"}

    assert propose(Site(one, {"A": ("B",)}, 2193), DAY, tasks=2).picks == ()

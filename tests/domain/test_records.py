import pytest

from exercises.domain.diagnosis.diagnosis import diagnose
from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.earth.angles import Written
from exercises.domain.results import across_classes, cohort
from exercises.domain.results.judged import Judged
from exercises.domain.tasks import corrections
from exercises.domain.tasks.forms.direction import DirectionGrade
from exercises.domain.tasks.forms.target import Chosen
from exercises.domain.tasks.reading import Reading
from tests.ground import answer


@pytest.mark.parametrize(
    ("hits", "number", "low", "high"),
    [
        # Newcombe (1998), Statistics in Medicine 17, 857-872, Table I, method 3 (Wilson): from
        # memory.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_an_interval_of_a_share_is_wilsons(hits, number, low, high):
    assert cohort.share_interval(hits, number) == pytest.approx((low, high), abs=5e-5)


def test_an_interval_of_nothing_says_nothing():
    assert cohort.share_interval(0, 0) == (0.0, 1.0)


def test_biases_that_agree_are_known_better_together_and_those_that_do_not_are_not():
    agree, disagree = cohort.pooled([(5.0, 1.0)] * 10), cohort.pooled([(0.0, 1.0), (10.0, 1.0)])

    assert agree == (5.0, pytest.approx(0.316228))
    assert disagree == (5.0, pytest.approx(5.0))


def test_the_spread_of_sound_readings_needs_three():
    results = [
        Judged(
            Reading("Mia", "1", Written(74.0)),
            answer(),
            DirectionGrade(1.0, 74.0, error, {}),
            Verdict("ok", 0.9),
        )
        for error in (-3.0, 0.0, 3.0)
    ]

    assert cohort.spread_of_sound(results[:2]) is None
    spread = cohort.spread_of_sound(results)
    assert spread.degrees == pytest.approx(2.45, abs=0.01)
    # 1.96 / sqrt(2 (n - 1)) = 0.98 (GUM E.4.3), and never more than 0.95
    assert (spread.low_deg, spread.high_deg) == (
        pytest.approx(0.05 * spread.degrees),
        pytest.approx(1.95 * spread.degrees),
    )


@pytest.mark.parametrize(
    ("seconds", "expected"), [(100, [("1", "300", ("Mia", "Tom"))]), (500, [])]
)
def test_the_same_unusual_answer_is_a_fact_only_close_in_time(seconds, expected):
    others = [(f"P{number}", "1", "074", 1.0, 10.0 * number) for number in range(20)]

    assert (
        cohort.same_answers(
            [("Mia", "1", "300", 0.0, 0.0), ("Tom", "1", "300", 0.0, seconds), *others]
        )
        == expected
    )


def test_an_answer_that_many_gave_or_that_is_right_is_not_unusual():
    many = [(f"P{number}", "1", "300", 0.0, number) for number in range(9)]
    right = [(f"Q{number}", "1", "074", 1.0, number) for number in range(9)]

    assert cohort.same_answers(many + right) == []


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ((0.1, 0.2), (0.05, 0.09), "falling"),
        ((0.1, 0.2), (0.15, 0.4), "steady"),
        ((0.1, 0.2), (0.3, 0.4), "rising"),
    ],
)
def test_a_trend_is_claimed_only_where_intervals_lie_apart(first, last, said):
    assert (
        across_classes.trend(across_classes.Share(1, 1, *first), across_classes.Share(1, 1, *last))
        == said
    )


def test_counts_are_given_away_only_of_groups_that_are_large_enough():
    large = [(2026, "sight", "true", 24.0, "ok", f"P{number}") for number in range(6)]
    rare = [(2026, "sight", "true", 26.0, "mils", "P1")]
    small = [(2026, "convert", "grid", 24.0, "reversed", f"P{number}") for number in range(4)]

    assert across_classes.counts_without_names(large + rare + small) == [
        (2026, "sight", "true", 25, "merged", 1, 7, 6),
        (2026, "sight", "true", 25, "ok", 6, 7, 6),
    ]


def test_small_groups_are_merged_when_they_are_large_enough_together():
    rows = [
        (year, "sight", "true", 24.0, "ok", f"P{number}")
        for year in (2025, 2026)
        for number in range(3 * (year - 2025), 3 * (year - 2025) + 3)
    ]

    assert across_classes.counts_without_names(rows) == [
        ("merged", "merged", "merged", "merged", "ok", 6, 6, 6)
    ]


def test_an_answer_is_moved_in_every_north_and_knows_how_badly():
    (moved,) = corrections.station_moved((answer(),), "A", -9.0, 1.5)

    assert [round(moved.bearings_deg[north]) for north in ("true", "grid", "magnetic")] == [
        65,
        64,
        57,
    ]
    assert moved.budget.degrees("correction") == 1.5
    assert moved.grade(Written(65.0)).credit == 1.0


def test_another_stations_answers_stay():
    one = answer()

    assert corrections.station_moved((one,), "B", -9.0, 1.5) == (one,)


def test_a_bearing_followed_where_the_needle_is_off_leads_to_what_lies_there_now():
    one = answer(
        kind="follow", given_deg=74.0, given_north="true", others=[("T2", 50.0), ("T3", 110.0)]
    )
    (moved,) = corrections.station_moved((one,), "A", 20.0, 1.0)

    assert moved.target == "T2"
    assert sorted(other.code for other in moved.others) == ["T1", "T3"]
    assert moved.grade(Chosen("T2")).error_deg == 0.0


def test_a_station_that_is_corrected_by_its_bias_stands_out_no_more():
    answers = (answer(north="magnetic"),)
    readings = [Reading(f"P{number}", "1", Written(float(82 + number % 3))) for number in range(8)]
    before = diagnose(answers, readings).stations["A"]
    after = diagnose(
        corrections.station_moved(answers, "A", before.degrees, before.error_deg), readings
    ).stations["A"]

    assert before.fault_probability > 0.5 > after.fault_probability
    assert abs(after.degrees) < 1.5


def test_what_changes_for_whom_is_named_once():
    found = corrections.changes(
        {("Mia", "1"): 0.0, ("Mia", "2"): 1.0, ("Tom", "1"): 0.5},
        {("Mia", "1"): 1.0, ("Mia", "2"): 1.0},
    )

    assert found == [
        corrections.Change("Mia", "1", 0.0, 1.0),
        corrections.Change("Tom", "1", 0.5, None),
    ]

"""Lessons for home: every question has one right answer, and every mistake that is explained is
the one that the domain predicts.
"""

import json
import random
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from exercises.domain.earth.angles import difference, wrap
from exercises.domain.mistakes import causes
from exercises.domain.planning import home_lessons
from exercises.domain.planning.paper_rounds import SHEET, bearing_on_sheet
from exercises.domain.planning.rounds import likeliest_cause
from exercises.domain.tasks.kinds import kind_of

SHARED = json.loads(
    (Path(__file__).resolve().parents[2] / "fixtures/shared/practice_links.json").read_text(
        encoding="utf-8"
    )
)
SETTINGS = st.builds(
    home_lessons.Setting,
    st.integers(-home_lessons.LARGEST_DECLINATION_DEG, home_lessons.LARGEST_DECLINATION_DEG),
    st.sampled_from(home_lessons.GRADUATIONS_DEG),
)
DRAWN = {"setting": SETTINGS, "seed": st.integers(0, 10_000)}


def drawn(code, setting, seed):
    return home_lessons.lesson(code, setting, random.Random(seed))


def predicted(answer, cause):
    """The numbers to which one mistake leads, as the diagnosis is told them: every outcome of every
    prediction with that cause and no other.
    """
    return [
        degrees
        for prediction in kind_of(answer.kind).predictions(answer)
        if {prediction.habit, prediction.slip} == {"ok", cause}
        for degrees, _ in answer.form.outcomes(answer, prediction)
    ]


@pytest.mark.parametrize("code", home_lessons.LESSONS)
@settings(max_examples=25, deadline=None)
@given(**DRAWN)
def test_every_question_has_exactly_one_right_choice(code, setting, seed):
    for made in drawn(code, setting, seed):
        if made.choices:
            codes = [choice.code for choice in made.choices]
            assert codes.count(made.right) == 1
            assert len(codes) == len(set(codes)) >= 2


@pytest.mark.parametrize("code", home_lessons.LESSONS)
@settings(max_examples=25, deadline=None)
@given(**DRAWN)
def test_every_mistake_that_is_explained_is_one_that_the_domain_predicts(code, setting, seed):
    for made in drawn(code, setting, seed):
        for choice in made.choices:
            numbers = predicted(made.answer, choice.cause)
            assert min(abs(difference(number, choice.degrees)) for number in numbers) < 1e-6


def weight(answer, cause, degrees):
    """How common it is that one mistake gives a number to a degree: its rate, by the ways of it."""
    return sum(
        causes.REGISTER[cause].rate * prediction.share * share
        for prediction in kind_of(answer.kind).predictions(answer)
        if {prediction.habit, prediction.slip} in ({"ok", cause}, {cause})
        for number, share in answer.form.outcomes(answer, prediction)
        if abs(difference(number, degrees)) < 1.0
    )


@pytest.mark.parametrize("code", home_lessons.LESSONS)
@settings(max_examples=10, deadline=None)
@given(**DRAWN)
def test_no_other_mistake_gives_the_number_of_a_choice_more_often(code, setting, seed):
    for made in drawn(code, setting, seed):
        for choice in made.choices:
            weights = {cause: weight(made.answer, cause, choice.degrees) for cause in causes.CODES}
            assert max(weights, key=weights.get) == choice.cause


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_what_went_wrong_is_what_leads_to_the_number_that_was_read(setting, seed):
    (*_, made) = drawn("end", setting, seed)

    assert [choice.code for choice in made.choices if choice.degrees == made.seen_deg] == [
        made.right
    ]


@pytest.mark.parametrize("code", home_lessons.LESSONS)
@settings(max_examples=25, deadline=None)
@given(**DRAWN)
def test_the_only_number_that_earns_full_credit_is_that_of_sound_technique(code, setting, seed):
    for made in drawn(code, setting, seed):
        right = {choice.cause: choice.degrees for choice in made.choices}.get("ok")
        assert right in (None, made.answer.expected_deg)
        others = [choice.degrees for choice in made.choices if choice.cause != "ok"]
        apart = [abs(difference(number, made.answer.expected_deg)) for number in others]
        assert min(apart, default=180.0) >= min(4.0, 2.0 * setting.graduation_deg)


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_a_dial_is_read_at_one_of_its_ticks(setting, seed):
    numbers = [made.number_deg for made in drawn("read", setting, seed)[1:]]

    assert all(number % setting.graduation_deg == 0 and number % 20 != 0 for number in numbers)


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_the_declination_is_practised_to_both_sides_and_never_where_it_does_not_show(setting, seed):
    rounds = drawn("declination", setting, seed)
    angles = [made.answer.norths.declination_deg for made in rounds]

    assert [angle > 0 for angle in angles[:2]] != [angle > 0 for angle in angles[2:]]
    assert min(map(abs, angles)) >= home_lessons.LEAST_DECLINATION_DEG


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_no_lesson_asks_the_same_twice(setting, seed):
    for code in home_lessons.LESSONS:
        asked = [(made.code, made.answer) for made in drawn(code, setting, seed)]
        assert all(asked.count(one) == 1 for one in asked)


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_a_round_to_turn_begins_far_from_boxed_and_from_the_wrong_way_round(setting, seed):
    for made in drawn("box", setting, seed)[1:]:
        off = abs(difference(made.number_deg, made.answer.expected_deg))
        assert 60 <= off <= 120


def test_the_same_chance_makes_the_same_lesson():
    assert drawn("map", home_lessons.Setting(), 3) == drawn("map", home_lessons.Setting(), 3)


def test_where_two_mistakes_lead_to_one_number_the_commoner_is_explained():
    """74 true with a declination of 10 left out is 64, which a slip of ten gives as well."""
    (made, *_) = drawn("declination", home_lessons.Setting(10, 2), 1)
    ignored = wrap(made.answer.expected_deg - 10.0)

    assert causes.REGISTER["declination_ignored"].rate > causes.REGISTER["ten_off"].rate
    assert likeliest_cause(made.answer, ignored) == "declination_ignored"
    assert likeliest_cause(made.answer, wrap(made.answer.expected_deg + 137.0)) == ""


@pytest.mark.parametrize(
    ("begin", "end", "bearing_deg"),
    [("ford", "chapel", 59.0), ("chapel", "ford", 239.0), ("well", "quarry", 126.0)],
)
def test_bearings_on_the_sheet_are_those_of_a_protractor(begin, end, bearing_deg):
    """By hand: atan(490/290), the same half a circle on, 90 + atan(450/620)."""
    assert bearing_on_sheet(begin, end) == bearing_deg
    assert {begin, end} <= set(SHEET)


@pytest.mark.parametrize("case", SHARED["read"], ids=str)
def test_a_link_is_read(case):
    found = home_lessons.read_link(case["declination"], case["dial"])

    assert found == home_lessons.Setting(case["declination_deg"], case["graduation_deg"])


@pytest.mark.parametrize("case", SHARED["refused"], ids=str)
def test_a_link_that_names_no_ground_is_refused(case):
    with pytest.raises(home_lessons.BadLink, match="cannot be read"):
        home_lessons.read_link(case["declination"], case["dial"])


@given(SETTINGS)
def test_the_address_of_a_setting_leads_back_to_it(setting):
    assert home_lessons.read_link(**home_lessons.link_of(setting)) == setting


@pytest.mark.parametrize(("cause", "code"), home_lessons.REPEATS.items())
def test_a_lesson_that_fits_a_mistake_explains_it(cause, code):
    setting = home_lessons.Setting()
    explained = {
        choice.cause
        for seed in range(20)
        for made in drawn(code, setting, seed)
        for choice in made.choices
    }

    assert cause in explained


def test_lessons_come_in_their_order_each_once():
    assert home_lessons.in_order(["map", "hold", "map"]) == ("hold", "map")
    assert home_lessons.in_order([]) == ()


@pytest.mark.parametrize("codes", [["fly"], ["hold", None], [["hold"]]])
def test_a_code_that_no_lesson_has_is_refused(codes):
    with pytest.raises(home_lessons.NoLesson):
        home_lessons.in_order(codes)

import json
from pathlib import Path

import pytest

from exercises.domain.earth.angles import difference
from exercises.domain.earth.norths import Norths
from exercises.domain.mistakes import causes
from exercises.domain.planning import practice
from exercises.presenting.causes import WORDS, hint_on

SHARED = json.loads(
    (Path(__file__).resolve().parents[2] / "fixtures/shared/compass.json").read_text(
        encoding="utf-8"
    )
)
TASKS = [
    pytest.param(answer, id=f"{place.code} {answer.task}")
    for place in practice.PLACES
    for answer in practice.tasks(place)
]


@pytest.mark.parametrize("case", SHARED["boxed"], ids=lambda case: str(case["facing_deg"]))
def test_the_number_of_a_boxed_needle_is_the_magnetic_bearing(case):
    assert (
        Norths(case["declination_deg"], 0.0).turn(case["facing_deg"], "true", "magnetic")
        == case["number_deg"]
    )


@pytest.mark.parametrize("answer", TASKS)
def test_no_mistake_lies_so_near_the_answer_that_it_could_be_right(answer):
    right = answer.expected_deg if answer.kind != "follow" else answer.bearings_deg["true"]

    assert (
        min(abs(difference(wrong.degrees, right)) for wrong in practice.wrongs(answer))
        >= practice.LEAST_SHIFT_DEG
    )


@pytest.mark.parametrize("answer", [param for param in TASKS if param.values[0].kind == "sight"])
def test_a_reversed_reading_is_half_a_circle_off(answer):
    (reversed_,) = [wrong for wrong in practice.wrongs(answer) if wrong.cause == "reversed"]

    assert difference(reversed_.degrees, answer.expected_deg) == pytest.approx(180.0)


def test_the_declination_left_out_leads_to_the_magnetic_bearing_where_true_is_asked():
    hill = practice.PLACES[0]
    (asked,) = [
        answer
        for answer in practice.tasks(hill)
        if answer.kind == "sight" and answer.north == "true"
    ]

    assert [
        wrong.degrees for wrong in practice.wrongs(asked) if wrong.cause == "declination_ignored"
    ] == [asked.bearings_deg["magnetic"]]


def test_both_declinations_and_all_kinds_are_practised():
    assert [place.norths.declination_deg > 0 for place in practice.PLACES] == [True, False]
    assert [[answer.kind for answer in practice.tasks(place)] for place in practice.PLACES] == [
        ["sight", "sight", "follow", "sight", "follow", "convert", "convert", "back"]
    ] * 2


@pytest.mark.parametrize("code", causes.CODES)
def test_a_hint_is_a_question_or_an_advice_without_a_bearing(code):
    hint = hint_on(code, 1.0)

    assert hint
    assert not any(character.isdigit() for character in hint.replace("360", ""))


def test_a_hint_is_general_where_the_cause_is_not_sure():
    assert hint_on("reversed", 0.3) == WORDS["unexplained"].hint

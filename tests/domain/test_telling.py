"""What a phone may be told by now, in tables: common practice, no source."""

from dataclasses import replace

import pytest

from exercises.domain.tasks.telling import (
    ANSWER,
    AT_ONCE,
    HINT,
    NOTHING,
    RELEASED,
    SECOND_TRY,
    ClassState,
    Given,
    may_see_sheets,
    told_by_task,
    told_on_phone,
)
from tests.ground import answer

OPEN = ClassState(SECOND_TRY)
TASK = answer(task="1")
MAP_HALF, FIELD_HALF = answer(task="1"), replace(answer(task="2"), after="1")
HALVES = (MAP_HALF, FIELD_HALF)


@pytest.mark.parametrize(
    ("own_policy", "state", "attempts", "credit", "told"),
    [
        pytest.param("", ClassState(AT_ONCE), 1, 0.0, ANSWER, id="at once"),
        pytest.param("", OPEN, 1, 0.5, HINT, id="a hint before the second try"),
        pytest.param("", OPEN, 1, 1.0, ANSWER, id="full credit needs no second"),
        pytest.param("", OPEN, 2, 0.0, ANSWER, id="after the second try"),
        pytest.param("", ClassState(RELEASED), 2, 1.0, NOTHING, id="waits for the release"),
        pytest.param(
            "", ClassState(RELEASED, is_released=True), 1, 0.0, ANSWER, id="once released"
        ),
        pytest.param(RELEASED, ClassState(AT_ONCE), 1, 1.0, NOTHING, id="a task's own policy"),
        pytest.param(AT_ONCE, ClassState(RELEASED), 1, 0.0, ANSWER, id="and the other way"),
        pytest.param("", ClassState(AT_ONCE, is_draft=True), 1, 1.0, NOTHING, id="not open yet"),
    ],
)
def test_a_task_by_itself_lets_know(own_policy, state, attempts, credit, told):
    asked = replace(TASK, feedback=own_policy)

    assert told_by_task(asked, state, attempts, credit) == told


@pytest.mark.parametrize(
    ("given", "state", "told"),
    [
        pytest.param([("Mia", 1, 0.0)], OPEN, {}, id="the other has not given one"),
        pytest.param(
            [("Mia", 1, 0.0), ("Tom", 1, 1.0)],
            OPEN,
            {("Mia", "1"): HINT},
            id="both have, and one may try again",
        ),
        pytest.param(
            [("Mia", 2, 0.0), ("Tom", 1, 1.0)],
            OPEN,
            {("Mia", "1"): ANSWER, ("Tom", "1"): ANSWER},
            id="nobody may try again",
        ),
        pytest.param(
            [("Mia", 1, 0.0), ("Tom", 1, 1.0)],
            replace(OPEN, is_open=False),
            {("Mia", "1"): HINT, ("Tom", "1"): ANSWER},
            id="nobody will try again after the class",
        ),
        pytest.param(
            [("Mia", 1, 0.0)],
            replace(OPEN, is_open=False),
            {("Mia", "1"): HINT},
            id="the class is closed",
        ),
        pytest.param(
            [("Mia", 1, 0.0)],
            replace(OPEN, is_released=True),
            {("Mia", "1"): ANSWER},
            id="it is released",
        ),
    ],
)
def test_who_shares_a_phone_waits_for_the_other(given, state, told):
    on_phone = [Given(person, "1", attempts, credit) for person, attempts, credit in given]

    assert told_on_phone(on_phone, (TASK,), state, ["Mia", "Tom"]) == told


@pytest.mark.parametrize(
    ("given", "state", "told"),
    [
        pytest.param([("1", 1.0)], ClassState(AT_ONCE), {}, id="the map half before it is faced"),
        pytest.param(
            [("1", 1.0), ("2", 1.0)],
            ClassState(AT_ONCE),
            {("Mia", "1"): ANSWER, ("Mia", "2"): ANSWER},
            id="both halves together",
        ),
        pytest.param(
            [("2", 1.0)], ClassState(AT_ONCE), {}, id="the field half before it is measured"
        ),
        pytest.param([("1", 0.0)], OPEN, {("Mia", "1"): HINT}, id="a hint gives nothing away"),
        pytest.param(
            [("1", 0.0), ("2", 1.0)],
            OPEN,
            {("Mia", "1"): HINT},
            id="the field half waits for the map half's answer",
        ),
        pytest.param(
            [("1", 1.0)],
            ClassState(AT_ONCE, is_open=False),
            {("Mia", "1"): ANSWER},
            id="nobody will face it any more",
        ),
        pytest.param(
            [("2", 0.0)],
            ClassState(RELEASED, is_open=False, is_released=True),
            {("Mia", "2"): ANSWER},
            id="it is released",
        ),
    ],
)
def test_neither_half_of_a_bearing_off_the_map_gives_the_other_away(given, state, told):
    on_phone = [Given("Mia", task, 1, credit) for task, credit in given]

    assert told_on_phone(on_phone, HALVES, state, ["Mia"]) == told


def test_a_map_half_waits_while_a_friend_may_face_it_again():
    on_phone = [
        Given("Mia", "1", 1, 1.0),
        Given("Mia", "2", 1, 1.0),
        Given("Tom", "1", 1, 1.0),
        Given("Tom", "2", 1, 0.0),
    ]

    assert told_on_phone(on_phone, HALVES, OPEN, ["Mia", "Tom"]) == {("Tom", "2"): HINT}


def test_a_field_half_waits_while_a_friend_may_measure_it_again():
    on_phone = [
        Given("Mia", "1", 1, 1.0),
        Given("Mia", "2", 1, 1.0),
        Given("Tom", "1", 1, 0.0),
        Given("Tom", "2", 1, 1.0),
    ]

    assert told_on_phone(on_phone, HALVES, OPEN, ["Mia", "Tom"]) == {("Tom", "1"): HINT}


@pytest.mark.parametrize(
    ("policies", "state", "is_closed", "may"),
    [
        pytest.param(("", ""), ClassState(AT_ONCE), True, True, id="all told, and over"),
        pytest.param(("", ""), ClassState(AT_ONCE), False, False, id="not over"),
        pytest.param(("", RELEASED), ClassState(AT_ONCE), True, False, id="one task waits"),
        pytest.param(("", ""), ClassState(RELEASED), True, False, id="all wait"),
        pytest.param(
            ("", ""), ClassState(RELEASED, is_released=True), False, True, id="it is released"
        ),
    ],
)
def test_a_whole_sheet_is_seen_when_nothing_on_it_waits(policies, state, is_closed, may):
    answers = [replace(TASK, feedback=policy) for policy in policies]

    assert may_see_sheets(answers, state, is_closed=is_closed) is may

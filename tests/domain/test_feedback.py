from types import SimpleNamespace

import pytest

from exercises.domain.tasks import telling
from exercises.domain.tasks.telling import ANSWER, AT_ONCE, HINT, NOTHING, RELEASED, SECOND_TRY


@pytest.mark.parametrize(
    ("policy", "attempts", "credit", "is_released", "expected"),
    [
        (AT_ONCE, 1, 0.0, False, ANSWER),
        (AT_ONCE, 1, 1.0, False, ANSWER),
        (SECOND_TRY, 1, 0.0, False, HINT),
        (SECOND_TRY, 1, 0.5, False, HINT),
        (SECOND_TRY, 1, 1.0, False, ANSWER),
        (SECOND_TRY, 2, 0.0, False, ANSWER),
        (SECOND_TRY, 1, 0.0, True, ANSWER),
        (RELEASED, 1, 1.0, False, NOTHING),
        (RELEASED, 9, 0.0, False, NOTHING),
        (RELEASED, 1, 0.0, True, ANSWER),
    ],
)
def test_what_is_shown_follows_the_policy(policy, attempts, credit, is_released, expected):
    assert telling.shown(policy, attempts, credit, is_released) == expected


def test_a_reading_after_a_hint_is_not_the_one_that_counts():
    assert [telling.first_counts(policy) for policy in (AT_ONCE, SECOND_TRY, RELEASED)] == [
        True,
        True,
        False,
    ]


@pytest.mark.parametrize(
    ("policy", "state", "expected"),
    [
        ("", telling.ClassState(AT_ONCE), True),
        ("", telling.ClassState(SECOND_TRY), True),
        ("", telling.ClassState(RELEASED), False),
        ("", telling.ClassState(RELEASED, is_released=True), True),
        (RELEASED, telling.ClassState(AT_ONCE), False),
        (AT_ONCE, telling.ClassState(RELEASED), True),
        ("", telling.ClassState(AT_ONCE, is_draft=True), False),
    ],
)
def test_there_is_something_to_ask_for_wherever_anything_may_be_told(policy, state, expected):
    answer = SimpleNamespace(feedback=policy)

    assert telling.may_tell(answer, state) == expected
    assert expected == any(
        telling.told_by_task(answer, state, attempts, credit) != NOTHING
        for attempts in (1, 2)
        for credit in (0.0, 0.5, 1.0)
    )

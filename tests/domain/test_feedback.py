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

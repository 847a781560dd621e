"""Which attempt counts, in a table: common practice, no source."""

import datetime

import pytest

from exercises.domain.tasks.attempts import Attempt, as_on_sheets, counting, latest, tries

NOW = datetime.datetime(2026, 10, 3, 9, 30, tzinfo=datetime.UTC)


def tried(number, minute=None, **more):
    """Mia's attempt at task 1, known by its number, which came some minutes after the beginning."""
    came = NOW + datetime.timedelta(minutes=number if minute is None else minute)
    return Attempt(number, "Mia", "1", number, came, **more)


@pytest.mark.parametrize(
    ("attempts", "first_counts", "released_minute", "expected"),
    [
        pytest.param([tried(1), tried(2)], True, None, [1], id="the first where later ones know"),
        pytest.param([tried(1), tried(2)], False, None, [2], id="the last where nothing is told"),
        pytest.param(
            [tried(1, is_graded=False), tried(2)], True, None, [2], id="one that cannot be read"
        ),
        pytest.param(
            [tried(1, is_late=True), tried(2)], True, None, [2], id="late after one in time"
        ),
        pytest.param([tried(1, is_late=True)], True, None, [1], id="late where there is no other"),
        pytest.param(
            [tried(1), tried(2, minute=60)], False, 30, [1], id="copied after the release"
        ),
        pytest.param(
            [tried(1, minute=60), tried(2, minute=61)],
            False,
            30,
            [1],
            id="after the release the first",
        ),
        pytest.param(
            [tried(1, is_paper=True), tried(2, is_paper=True)],
            True,
            None,
            [2],
            id="a sheet says what was typed last",
        ),
        pytest.param(
            [tried(1, is_paper=True), tried(2, is_paper=True, is_graded=False)],
            True,
            None,
            [],
            id="a cell that was taken back",
        ),
        pytest.param(
            [tried(1), tried(2, is_paper=True)],
            True,
            None,
            [1],
            id="a sheet after the phone",
        ),
    ],
)
def test_one_attempt_of_a_person_at_a_task_counts(
    attempts, first_counts, released_minute, expected
):
    released_at = released_minute and NOW + datetime.timedelta(minutes=released_minute)

    chosen = counting(attempts, {"1": first_counts}, released_at)

    assert [attempt.key for attempt in chosen] == expected


def test_each_person_has_one_at_each_task_in_order_of_arrival():
    attempts = [
        Attempt(1, "Mia", "2", 1, NOW + datetime.timedelta(minutes=9)),
        Attempt(2, "Tom", "1", 1, NOW + datetime.timedelta(minutes=5)),
        Attempt(3, "Mia", "1", 1, NOW),
    ]

    chosen = counting(attempts, {"1": True, "2": True}, None)

    assert [attempt.key for attempt in chosen] == [3, 2, 1]


def test_a_task_that_counts_no_more_is_left_out():
    assert counting([tried(1)], {"2": True}, None) == []


def test_a_phone_talks_about_the_latest_that_can_be_read():
    attempts = [tried(1), tried(2), tried(3, is_graded=False)]

    assert [attempt.key for attempt in latest(attempts, {"1"})] == [2]
    assert latest(attempts, {"2"}) == []


def test_what_was_not_typed_from_paper_stays_beside_the_sheet():
    attempts = [tried(1), tried(2, is_paper=True), tried(3, is_paper=True)]

    assert [attempt.key for attempt in as_on_sheets(attempts)] == [1, 3]


def sent(number, received_s, stored_s=None, **more):
    """Mia's attempt at task 1, received and stored some seconds after the beginning."""
    received = NOW + datetime.timedelta(seconds=received_s)
    stored = None if stored_s is None else NOW + datetime.timedelta(seconds=stored_s)
    return Attempt(number, "Mia", "1", number, received, stored_at=stored, **more)


@pytest.mark.parametrize(
    ("attempts", "expected"),
    [
        pytest.param([sent(1, 0, 0.1)], 1, id="one"),
        pytest.param([sent(1, 0, 0.1), sent(2, 60, 60.1)], 2, id="one after the other"),
        pytest.param([sent(1, 0, 0.1), sent(2, 0, 0.2)], 1, id="both in one request"),
        pytest.param([sent(1, 0, 0.3), sent(2, 0.2, 0.5)], 1, id="two requests at once"),
        pytest.param(
            [sent(1, 0, 0.1), sent(2, 0, 0.2), sent(3, 9, 9.1)],
            2,
            id="a phone without signal sends two, and its person tries again after the hint",
        ),
        pytest.param([sent(1, 0), sent(2, 0)], 1, id="stored before that was noted, at once"),
        pytest.param([sent(1, 0), sent(2, 9)], 2, id="stored before that was noted"),
        pytest.param(
            [sent(1, 0, 0.1, is_graded=False), sent(2, 9, 9.1)], 1, id="one that cannot be read"
        ),
    ],
)
def test_a_try_is_one_that_could_know_what_came_of_the_one_before(attempts, expected):
    assert tries(attempts[::-1]) == {("Mia", "1"): expected}

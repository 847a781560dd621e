"""Who was there, by the first that was seen of them."""

import datetime

import pytest

from exercises.domain.running.attendance import Count, attended
from exercises.domain.running.headcount import Mark

NINE = datetime.datetime(2026, 10, 3, 9, 0, tzinfo=datetime.UTC)


def at(minutes):
    return NINE + datetime.timedelta(minutes=minutes)


def mark(is_here, minutes, by="Oona", person="7"):
    return Mark(person, is_here, by, at(minutes), minutes)


COUNT = Count(at(10), [mark(True, 11)])


@pytest.mark.parametrize(
    ("joined", "readings", "counts", "came"),
    [
        pytest.param(None, [], [], None, id="nothing was seen"),
        pytest.param(at(5), [at(20)], [COUNT], at(5), id="joined first"),
        pytest.param(None, [at(20)], [COUNT], at(11), id="ticked first: no phone"),
        pytest.param(None, [at(20)], [], at(20), id="on paper alone"),
        pytest.param(
            None,
            [],
            [Count(at(10), [mark(True, 11), mark(False, 12)])],
            None,
            id="the tick was taken away",
        ),
        pytest.param(
            None, [], [Count(at(10), [mark(True, 11, person="8")])], None, id="somebody else's tick"
        ),
    ],
)
def test_somebody_came_when_they_were_first_seen(joined, readings, counts, came):
    found = attended("7", joined, None, readings, counts)

    assert (found.came_at, found.was_there) == (came, came is not None)


def test_the_word_at_each_count():
    counts = [
        Count(at(0), []),
        Count(at(10), [mark(True, 11)]),
        Count(at(30), [mark(True, 31, person="8")]),
        Count(at(60), [mark(True, 61, person="8")]),
    ]

    found = attended("7", at(0), at(40), [], counts)

    assert found.counts == ("", "here", "missing", "left")

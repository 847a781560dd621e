"""Whether somebody passed: the percent that is shown, the credit that is missing and the word never
contradict each other. The 80 % is common practice; the arithmetic is checked with fractions.
"""

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from exercises.domain.results.passing import PassingRule, passing

CREDITS = st.sampled_from([0.0, 0.5, 1.0])


@st.composite
def people(draw):
    """Tasks, what a person earned at some of them, and the spoilt ones among these."""
    tasks = [str(number) for number in range(1, draw(st.integers(1, 60)) + 1)]
    credits = draw(st.dictionaries(st.sampled_from(tasks), CREDITS))
    spoilt = draw(st.sets(st.sampled_from(sorted(credits) or tasks[:1]))) if credits else set()
    return tasks, credits, spoilt


@given(people(), st.integers(50, 100))
def test_the_percent_shown_and_the_rule_never_contradict_each_other(person, share):
    tasks, credits, spoilt = person
    found = passing(PassingRule(share), tasks, credits, spoilt)

    counted = [task for task in tasks if task not in spoilt]
    earned = sum(Fraction(credits.get(task, 0.0)) for task in counted)
    if not counted:
        assert found is None
        return
    assert found.passed == (100 * earned >= share * len(counted))
    assert found.passed == (found.percent >= share)
    assert found.passed == (found.missing == 0.0)
    assert 0 <= 100 * earned / len(counted) - found.percent < 1


@given(people(), st.integers(50, 100))
def test_what_is_missing_is_the_least_that_passes(person, share):
    tasks, credits, spoilt = person
    found = passing(PassingRule(share), tasks, credits, spoilt)
    if found is None or found.passed:
        return

    enough = Fraction(found.credit) + Fraction(found.missing)

    assert 100 * enough >= share * found.possible
    assert 100 * (enough - Fraction(1, 2)) < share * found.possible
    assert found.failed  # there is something to be earned yet


@pytest.mark.parametrize(
    ("credits", "passed", "percent", "failed"),
    [
        pytest.param({1: 1, 2: 1, 3: 1, 4: 1, 5: 0}, True, 80, ("5",), id="80 % exactly"),
        pytest.param({1: 1, 2: 1, 3: 1, 4: 0.5, 5: 0}, False, 70, ("4", "5"), id="half too little"),
        pytest.param({1: 1, 2: 1, 3: 1, 4: 1}, True, 80, ("5",), id="one without an answer"),
        pytest.param({}, False, 0, ("1", "2", "3", "4", "5"), id="nothing sent"),
    ],
)
def test_eighty_percent_of_five_tasks(credits, passed, percent, failed):
    given_credits = {str(task): float(credit) for task, credit in credits.items()}

    found = passing(PassingRule(80), list("12345"), given_credits)

    assert (found.passed, found.percent, found.failed) == (passed, percent, failed)


def test_a_task_that_the_ground_spoilt_counts_neither_for_nor_against():
    credits = {"1": 1.0, "2": 1.0, "3": 0.0}

    found = passing(PassingRule(80), list("123"), credits, spoilt={"3"})

    assert (found.possible, found.passed, found.left_out, found.failed) == (2, True, ("3",), ())


@pytest.mark.parametrize("share", [0, 49, 101])
def test_a_share_that_is_no_rule_is_refused(share):
    with pytest.raises(ValueError, match=str(share)):
        PassingRule(share)

"""How often judgements were right, by how sure they were."""

import pytest

from exercises.domain.results.reliability import Said, bins, is_right


@pytest.mark.parametrize(
    ("cause", "label", "right"),
    [
        pytest.param("reversed", "reversed", True, id="the same"),
        pytest.param("reversed+station_fault", "reversed", True, id="nobody sees the ground"),
        pytest.param("ok", "ok", True, id="sound"),
        pytest.param("station_fault", "ok", True, id="the ground is nobody's mistake"),
        pytest.param("ok", "reversed", False, id="a mistake that was not seen"),
        pytest.param("declination_ignored+reversed", "reversed", False, id="one of two"),
    ],
)
def test_a_judgement_is_right_by_the_mistakes_in_it(cause, label, right):
    assert is_right(Said(cause, 0.8, label)) is right


def test_judgements_are_sorted_by_how_sure_they_were():
    found = bins(
        [
            Said("ok", 1.0, "ok"),
            Said("ok", 0.9, "mils"),
            Said("mils", 0.6, "mils"),
            Said("mils", 0.2, "ok"),
        ]
    )

    assert [(one.low, one.number, one.right) for one in found] == [
        (0.0, 1, 0),
        (0.6, 1, 1),
        (0.9, 2, 1),
    ]
    assert [one.mean for one in found] == pytest.approx([0.2, 0.6, 0.95])


def test_nothing_is_said_without_labels():
    assert bins([]) == []


def test_what_was_said_too_surely_shows():
    # 10 of 20 right where 0.95 was said: Wilson's interval is 0.30 to 0.70.
    sure = [Said("ok", 0.95, "ok")] * 10 + [Said("ok", 0.95, "mils")] * 10

    (one,) = bins(sure)

    assert (round(one.share_low, 2), round(one.share_high, 2)) == (0.30, 0.70)
    assert not one.agrees

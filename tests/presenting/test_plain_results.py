"""Words of a result for a child: what is asked to do fits what was asked, and causes are named as
headings are.
"""

from dataclasses import replace

import pytest

from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.results.judged import Judged
from exercises.domain.tasks.reading import Reading
from exercises.presenting.feedback import feedback, hint
from tests.ground import answer

TWO_NORTHS = "Draw the two norths with the angle between them, then do the sum again."
WAYS = "The way back is half a circle from the way there. Draw both, then do the sum again."


def result(kind, cause="ok", probability=0.95, *, off=0, alternatives=(), given_north="true"):
    asked = replace(
        answer(task="1"), kind=kind, north="true", given_north=given_north, given_deg=10.0
    )
    seen = asked.form.parse(asked, f"{round(asked.expected_deg + off) % 360:03d}")
    reading = Reading("7", "1", seen)
    verdict = Verdict(cause, probability, alternatives)
    return Judged(reading, asked, asked.grade(seen), verdict)


@pytest.mark.parametrize(
    ("kind", "given_north", "said"),
    [
        pytest.param("back", "true", WAYS, id="one north"),
        pytest.param("back", "magnetic", TWO_NORTHS, id="two norths"),
        pytest.param("convert", "magnetic", TWO_NORTHS, id="turned into another north"),
    ],
)
def test_two_norths_are_to_be_drawn_only_where_there_are_two(kind, given_north, said):
    """2026-11-27: said of a way back in one north."""
    judged = result(kind, "unexplained", off=90, given_north=given_north)

    assert feedback(judged, {})["advice"] == said
    assert ("two norths" in hint(judged)["hint"]) == ("two norths" in said)


def test_a_near_miss_of_a_sum_is_told_to_do_the_sum_again():
    judged = result("convert", off=7)

    assert judged.credit == 0.5
    assert feedback(judged, {})["advice"] == "Do the sum once more, one column at a time."


@pytest.mark.parametrize(
    ("kind", "own"), [("sight", "You read"), ("convert", "You wrote"), ("back", "You wrote")]
)
def test_a_sum_was_written_and_a_compass_read(kind, own):
    judged = result(kind)

    assert feedback(judged, {})["own"] == own
    assert hint(judged)["own"].startswith(f"{own} ")


def test_two_likely_causes_are_named_as_headings_are():
    judged = result("sight", "reversed", 0.4, off=120, alternatives=(("quarter_turn", 0.3),))
    told = feedback(judged, {})

    assert (
        told["cause"]
        == "Two things fit your number: either “The opposite way” or “A quarter turn”."
    )
    assert [choice["text"] for choice in told["instead"]] == [
        "The opposite way",
        "A quarter turn",
        "Nothing went wrong",
        "Another target",
        "Another standing mark",
        "Two digits exchanged",
    ]

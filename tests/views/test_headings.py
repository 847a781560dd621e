"""What stands above a result, and what was right in a reading that was not."""

from dataclasses import replace

import pytest

from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.earth.norths import Norths
from exercises.domain.mistakes import causes
from exercises.domain.results.judged import Judged
from exercises.domain.tasks.reading import Reading
from exercises.presenting import headings
from exercises.presenting.answers import words_of
from exercises.presenting.feedback import well_and_cause
from tests.ground import answer


def judged(cause, probability, credit=0.0, kind="sight", off_deg=180, **changed):
    asked = replace(answer(task="1", **changed), kind=kind)
    seen = asked.form.parse(asked, f"{round(asked.expected_deg + off_deg) % 360:03d}")
    grade = replace(asked.grade(seen), credit=credit)
    return Judged(Reading("Mia", "1", seen), asked, grade, Verdict(cause, probability))


@pytest.mark.parametrize(
    ("cause", "probability", "credit", "said"),
    [
        pytest.param("reversed", 0.95, 0.0, "The opposite way", id="certain"),
        pytest.param("reversed", 0.6, 0.0, "The opposite way", id="sure"),
        pytest.param("reversed", 0.59, 0.0, "Not yet", id="not sure"),
        pytest.param("reversed+station_fault", 0.9, 0.0, "The opposite way", id="a mistake first"),
        pytest.param("station_fault", 0.9, 0.5, "The station is off", id="no mistake"),
        pytest.param("declination_ignored+reversed", 0.9, 0.0, "Not yet", id="two at once"),
        pytest.param("ok", 0.9, 0.5, "Nearly there", id="none"),
        pytest.param("unexplained", 0.9, 0.0, "Not yet", id="unknown"),
    ],
)
def test_a_heading_names_the_cause_where_it_is_sure(cause, probability, credit, said):
    assert headings.heading(judged(cause, probability, credit)) == said


def test_every_cause_of_one_mistake_has_a_heading_of_few_words():
    told = {code: str(headings.HEADINGS.get(code, "")) for code in causes.CODES}

    assert [code for code, words in told.items() if not words] == ["ok", "unexplained"]
    assert max(len(words.split()) for words in told.values()) <= 4


LINE = "The line is right; only its two ends are exchanged."
DIAL = "The number on your dial was right. It went wrong in the sum after it."


@pytest.mark.parametrize(
    ("cause", "probability", "credit", "kind", "said"),
    [
        pytest.param("reversed", 0.95, 0.0, "sight", LINE, id="the other end"),
        pytest.param("reversed", 0.7, 0.0, "sight", f"Probably: {LINE}", id="probably"),
        pytest.param("reversed", 0.5, 0.0, "sight", "", id="not sure"),
        pytest.param("reversed", 0.95, 1.0, "sight", "", id="full credit"),
        pytest.param("reversed", 0.95, 0.0, "map", LINE, id="on a map"),
        pytest.param("reversed", 0.95, 0.0, "back", "", id="in a sum it is no line"),
        pytest.param("declination_wrong_way", 0.95, 0.0, "sight", "", id="or the compass was set"),
        pytest.param("declination_ignored+reversed", 0.95, 0.0, "sight", "", id="two at once"),
        pytest.param("unexplained", 0.95, 0.0, "sight", "", id="unknown"),
    ],
)
def test_what_was_right_is_said_where_the_cause_carries_it(cause, probability, credit, kind, said):
    reading = judged(cause, probability, credit, kind)

    well = words_of(reading.answer).went_right(reading)

    assert f"{'Probably: ' * well.is_probable}{well.text}" == said


OPPOSITE = "Your bearing points the opposite way: it is about 180 degrees off."


@pytest.mark.parametrize(
    ("cause", "probability", "said"),
    [
        pytest.param("reversed", 0.95, (LINE, OPPOSITE), id="certain"),
        pytest.param("reversed", 0.7, (f"Probably: {LINE} {OPPOSITE}", ""), id="said once"),
        pytest.param(
            "unexplained",
            0.7,
            ("", "We cannot tell what happened here."),
            id="nobody probably cannot",
        ),
    ],
)
def test_probably_is_said_once_on_a_result(cause, probability, said):
    """2026-11-27: "Probably:" stood before what was right and before what happened."""
    assert well_and_cause(judged(cause, probability), {}) == said


@pytest.mark.parametrize(
    ("north", "off_deg", "said"),
    [
        pytest.param("true", -16, DIAL, id="by the declination"),
        pytest.param("true", -21, DIAL, id="and within the band for full credit"),
        pytest.param("true", -22, "", id="and beside it"),
        pytest.param("true", -10, "", id="short of it"),
        pytest.param("grid", -14, DIAL, id="by the angle to grid north"),
        pytest.param("magnetic", 16, DIAL, id="needlessly"),
    ],
)
def test_the_dial_was_right_only_where_the_declination_is_what_is_missing(north, off_deg, said):
    """2026-11-27: 255 for 245 with a declination of 16: "The number on your dial was right."."""
    norths = Norths(16.0, 2.0)
    reading = judged("declination_ignored", 0.95, off_deg=off_deg, north=north, norths=norths)

    assert words_of(reading.answer).went_right(reading).text == said

"""Everything that the domain knows by a code has a name in words."""

import pytest

from exercises import vocabulary
from exercises.domain.earth.coordinates import NOTATIONS
from exercises.domain.earth.norths import NORTHS
from exercises.domain.mistakes import causes
from exercises.domain.planning import hazards, home_lessons, practice
from exercises.domain.planning.paper_rounds import SHEET
from exercises.domain.surveying.traverses import traverse_slip
from exercises.domain.tasks import telling
from exercises.domain.tasks.bands import PRESETS
from exercises.domain.tasks.kinds import REGISTER
from exercises.drawing.lesson import NAMES
from exercises.presenting import practice as trainer
from exercises.presenting.answers.kinds import WORDS as ANSWERS
from exercises.presenting.causes import WORDS as CAUSES
from exercises.presenting.findings import CURES, WHAT
from exercises.presenting.lessons import course
from exercises.presenting.remedies import EXERCISES
from exercises.presenting.traverse import SLIPS


@pytest.mark.parametrize(
    ("names", "codes"),
    [
        pytest.param(vocabulary.KINDS, REGISTER, id="kinds"),
        pytest.param(ANSWERS, REGISTER, id="words of kinds"),
        pytest.param(vocabulary.NORTHS, NORTHS, id="norths"),
        pytest.param(vocabulary.PRESETS, PRESETS, id="presets"),
        pytest.param(vocabulary.POLICIES, telling.POLICIES, id="policies"),
        pytest.param(vocabulary.HAZARDS, hazards.KINDS, id="hazards"),
        pytest.param(vocabulary.NOTATIONS, NOTATIONS, id="notations"),
        pytest.param(CAUSES, causes.CODES, id="causes"),
        pytest.param(
            EXERCISES,
            [code for code, cause in causes.REGISTER.items() if cause.is_mistake],
            id="exercises",
        ),
        pytest.param(SLIPS, traverse_slip.CAUSES, id="slips of a traverse"),
        pytest.param(traverse_slip.SHARES, traverse_slip.CAUSES, id="how often each happens"),
        pytest.param(course.TITLES, home_lessons.LESSONS, id="lessons"),
        pytest.param(course.BEGINNINGS, home_lessons.LESSONS, id="beginnings of lessons"),
        pytest.param(course.NOW, home_lessons.LESSONS, id="ends of lessons"),
        pytest.param(NAMES, SHEET, id="points of the lessons' sheet"),
        pytest.param(trainer.PLACES, [place.code for place in practice.PLACES], id="trainer"),
    ],
)
def test_every_code_has_its_words_and_no_word_is_without_a_code(names, codes):
    assert sorted(names) == sorted(codes)


@pytest.mark.parametrize("place", practice.PLACES, ids=lambda place: place.code)
def test_every_landmark_of_the_trainer_has_a_name(place):
    codes = [landmark.code for landmark in place.landmarks]

    assert list(trainer.LANDMARKS[place.code]) == codes


def test_every_cure_belongs_to_something_that_is_found():
    assert set(CURES) <= set(WHAT)

"""What was added to a number, as it is ringed on a sheet and typed after it."""

import pytest

from exercises.models import Reading, Reply
from exercises.usecases import type_paper
from tests import cast
from tests.views.test_paper import post


@pytest.fixture
def held(open_class):
    cast.join(open_class, "Mia", "Tom")
    return open_class


@pytest.mark.parametrize(
    ("typed", "said"),
    [("044+", "added"), ("044 -", "subtracted"), ("044 −", "subtracted"), ("044=", "nothing")],
)
def test_what_was_ringed_is_kept_as_a_reply(desk, held, typed, said):
    for _ in range(2):  # taking in again stores nothing
        post(desk, held, {("Mia", "1"): typed}, take="yes")

    assert Reading.objects.get().text == "044"
    assert Reply.objects.get().said == said


def test_nothing_is_ringed_where_no_number_is_asked_for(desk, held):
    post(desk, held, {("Mia", "2"): "T3", ("Mia", "3"): "120+"}, take="yes")

    assert sorted(Reading.objects.values_list("text", flat=True)) == ["120", "T3"]
    assert not Reply.objects.exists()


@pytest.mark.parametrize("text", ["", "+", "-074", "T3", "4293 0221"])
def test_what_does_not_end_in_a_sign_stays_as_it_is(text):
    assert type_paper.parted(text) == (text, "")

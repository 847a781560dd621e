"""What a participant is told of the compass: words a child knows, the trade's word beside them."""

import re

import pytest

from exercises.domain.mistakes.causes import CODES, IN_A_SUM, IN_THE_FIELD, ON_A_MAP
from exercises.presenting.causes import WORDS

OF_THE_TRADE = ("orienting arrow", "travel arrow", "housing", "box the", "boxed", "label")
COLOURS = re.compile(r"\b(?:red|white|black|blue)\b")  # needles differ
BESIDE = re.compile(r"\([^)]*\)")
TOLD = [
    pytest.param(str(WORDS[code].said(what, setting)), id=f"{code} {what} {setting}")
    for code in CODES
    for what in ("sentence", "advice", "hint")
    for setting in (IN_THE_FIELD, IN_A_SUM, ON_A_MAP)
]


@pytest.mark.parametrize("told", TOLD)
def test_the_trades_word_stands_once_and_beside_plain_ones(told):
    plain = BESIDE.sub("", told)

    assert [word for word in OF_THE_TRADE if word in plain.lower()] == []
    assert [word for word in OF_THE_TRADE if told.lower().count(word) > 1] == []


@pytest.mark.parametrize("told", TOLD)
def test_no_end_of_the_needle_is_called_by_a_colour(told):
    assert COLOURS.findall(told) == []

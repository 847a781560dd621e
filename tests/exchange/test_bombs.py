"""Files that are small to send and large to read are refused in words, before they cost anything:
in less than a second of processor time, and what may be read in less than three.
"""

import pytest

from exercises.exchange.reading import MOST_ANSWERS, read_file
from exercises.exchange.sheet import MOST_ROWS, BadFile
from tests.exchange.bombs import BOMBS, READABLE, workbook_of
from tests.processor import least_s

REFUSED_S, READ_S = 1.0, 3.0


@pytest.mark.parametrize("most_rows", [MOST_ROWS, MOST_ANSWERS])
@pytest.mark.parametrize("make", BOMBS.values(), ids=BOMBS)
def test_a_bomb_is_refused_in_words_in_less_than_a_second(make, most_rows):
    data = make()

    def refuse():
        with pytest.raises(BadFile) as refusal:
            read_file("points", data, most_rows)
        assert str(refusal.value).endswith(".")

    assert least_s(refuse, REFUSED_S) < REFUSED_S


@pytest.mark.parametrize("make", READABLE.values(), ids=READABLE)
def test_what_is_odd_but_small_enough_is_read(make):
    data = make()

    def read():
        assert len(read_file("points", data).rows) == 1

    assert least_s(read, READ_S) < READ_S


def test_the_largest_table_of_answers_is_read():
    data = workbook_of(MOST_ANSWERS, columns=15)

    def read():
        sheet = read_file("answers.xlsx", data, MOST_ANSWERS)
        assert (len(sheet.rows), len(sheet.columns)) == (MOST_ANSWERS, 15)

    assert least_s(read, 2 * READ_S) < 2 * READ_S

"""Compasses compared at the desk."""

import pytest

from tests import cast


def compare(desk, course_class, readings, **more):
    answer = desk.post(
        f"/classes/{course_class.pk}/compasses/",
        {"readings": readings, "step_deg": "2", "line": "", **more},
    )
    return " ".join(answer.content.decode().split())


def test_the_odd_ones_are_named_with_what_to_do(desk, open_class):
    page = compare(desk, open_class, "1 40\n2 41\n3: 40\n4 49 48\n5 220")

    assert "2 compasses to look at." in page
    assert '<strong>4</strong> <strong class="error">withdraw it</strong>' in page
    assert "its needle points south" in page


def test_the_compasses_of_the_class_stand_there_to_be_filled_in(desk, open_class):
    cast.join(open_class, "Mia")  # with compass 7

    page = desk.get(f"/classes/{open_class.pk}/compasses/").content.decode()

    assert "7 </textarea>" in page


def test_a_compass_that_was_not_read_is_left_out(desk, open_class):
    assert "All are sound." in compare(desk, open_class, "1 40\n2 41\n3 40\n4\n\n")


def test_two_compasses_are_too_few_without_the_lines_bearing(desk, open_class):
    assert "nobody can say which is odd" in compare(desk, open_class, "1 40\n2 48")
    assert "1 compass to look at." in compare(desk, open_class, "1 40\n2 48", line="040")


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ("1 40\n2 4O", "Line 2: “4O” is not a bearing."),
        ("\n".join(f"{n} 40" for n in range(61)), "A check holds 60 compasses."),
        ("", "This field is required."),
    ],
)
def test_what_cannot_be_read_is_said_and_stays_typed(desk, open_class, readings, said):
    page = compare(desk, open_class, readings)

    assert said in page
    assert readings.split("\n")[-1] in page

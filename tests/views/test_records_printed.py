"""Records that are asked for: of one, of all who passed, with the instructor's name."""

import pypdfium2
import pytest

from exercises.models import CourseClass
from tests import cast


@pytest.fixture
def two(open_class):
    """Mia has all right, Tom one of three."""
    answer = {task: cast.answer_of(open_class, task) for task in "123"}
    right = [(task, _right(answer[task])) for task in "123"]
    (mia, _), (tom, _) = cast.join(open_class, "Mia", "Tom")
    cast.send(open_class, mia, *right)
    cast.send(open_class, tom, right[0])
    return open_class


def _right(answer):
    return answer.target if answer.kind == "follow" else f"{round(answer.expected_deg) % 360:03d}"


def pages(answer):
    document = pypdfium2.PdfDocument(answer.content)
    return [page.get_textpage().get_text_range() for page in document]


def ask(desk, course_class, **more):
    return desk.get(f"/classes/{course_class.pk}/print/records.pdf", {"paper": "a4", **more})


def test_all_who_passed_have_a_page_each_and_nobody_else(desk, two):
    (page,) = pages(ask(desk, two, instructor="Ines Amaru"))

    assert "Mia" in page
    assert "Ines Amaru, instructor" in page
    assert "Passed: 100 % of the credit, 80 % are needed." in page


def test_one_persons_record_says_what_is_missing(desk, two):
    tom = two.people.get(name="Tom")

    (page,) = pages(ask(desk, two, instructor="Ines Amaru", person=tom.pk))

    assert "Not there yet: 33 % of the credit, 80 % are needed." in page


@pytest.mark.parametrize("more", [{}, {"instructor": "  "}])
def test_a_record_without_an_instructor_is_not_printed(desk, two, more):
    answer = ask(desk, two, **more)

    assert answer.status_code == 409
    assert b"Type the instructor" in answer.content


def test_where_nobody_passed_that_is_said(desk, two):
    with cast.unheld():
        two.readings.filter(person__name="Mia")._raw_delete("default")

    answer = ask(desk, two, instructor="Ines Amaru")

    assert answer.status_code == 409
    assert b"There is nobody of whom a record could be printed." in answer.content


def test_a_class_without_a_rule_offers_no_print_of_all_who_passed(desk, two):
    tom = two.people.get(name="Tom")
    before = desk.get(f"/classes/{two.pk}/people/{tom.pk}/").content
    CourseClass.objects.update(pass_share=None)

    after = desk.get(f"/classes/{two.pk}/people/{tom.pk}/").content

    assert (b"Print all who passed" in before, b"Print all who passed" in after) == (True, False)


def test_the_name_of_the_instructor_is_there_the_next_time(desk, two):
    tom = two.people.get(name="Tom")
    ask(desk, two, instructor="Ines Amaru", person=tom.pk)

    page = desk.get(f"/classes/{two.pk}/people/{tom.pk}/").content

    assert b'name="instructor" value="Ines Amaru"' in page

"""Answers from paper: the grid, two hands, a table, and the readings made of them."""
import io

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from exercises.models import PaperEntry, Reading
from exercises.usecases.open_class import close_class
from tests import cast


def post(desk, course_class, cells=None, **fields):
    names = {person.name: person.pk for person in course_class.people.all()}
    return desk.post(f"/classes/{course_class.pk}/paper/", {"hand": "1", "names": "", **{f"cell-{names[name]}-{task}": text for (name, task), text in (cells or {}).items()}, **fields}, follow=True)


@pytest.fixture
def held(open_class):
    cast.join(open_class, "Mia", "Tom")
    return open_class


def stored(course_class):
    return sorted(Reading.objects.filter(course_class=course_class).values_list("person__name", "task", "text", "source", "typed_by__username"))


def test_what_is_typed_is_noted_before_it_is_taken_in(desk, held):
    answer = post(desk, held, {("Mia", "1"): "044", ("Tom", "2"): "t3"})

    assert sorted(PaperEntry.objects.values_list("person__name", "task", "hand", "text")) == [("Mia", "1", 1, "044"), ("Tom", "2", 1, "T3")]
    assert stored(held) == []
    assert 'value="044"' in answer.content.decode()


def test_what_is_noted_becomes_readings_from_paper_with_who_typed_them(desk, held):
    post(desk, held, {("Mia", "1"): "044", ("Tom", "2"): "T3"}, take="yes")

    assert stored(held) == [("Mia", "1", "044", "paper", "ines"), ("Tom", "2", "T3", "paper", "ines")]


def test_taking_in_again_stores_nothing_twice(desk, held):
    for _ in range(2):
        post(desk, held, {("Mia", "1"): "044"}, take="yes")

    assert len(stored(held)) == 1


def test_an_answer_that_is_mended_is_a_new_attempt_and_the_old_one_stays(desk, held):
    post(desk, held, {("Mia", "1"): "044"}, take="yes")
    post(desk, held, {("Mia", "1"): "047"}, take="yes")

    assert list(Reading.objects.values_list("text", "attempt")) == [("044", 1), ("047", 2)]


def test_a_cell_that_is_emptied_is_taken_out_of_the_grid(desk, held):
    post(desk, held, {("Mia", "1"): "044"})
    post(desk, held, {("Mia", "1"): ""})

    assert PaperEntry.objects.count() == 0


def test_paper_that_is_typed_after_the_class_is_not_late(desk, held):
    close_class(course_class=held, now=cast.LATER)
    post(desk, held, {("Mia", "1"): "044"}, take="yes")

    assert list(Reading.objects.values_list("is_late", flat=True)) == [False]


def test_a_number_over_360_is_kept_and_read_as_mils(desk, held):
    post(desk, held, {("Mia", "1"): "796"}, take="yes")

    assert Reading.objects.get().value_mils == 796


def test_what_cannot_be_graded_is_kept_and_said(desk, held):
    answer = post(desk, held, {("Mia", "1"): "north-ish"}, take="yes")

    assert "Mia: Kept, but “NORTH-ISH” is not an answer that can be graded." in answer.content.decode()
    assert Reading.objects.get().problem == "NotABearing"


def test_two_hands_must_agree_where_that_is_asked(desk, held):
    post(desk, held, {("Mia", "1"): "044", ("Tom", "1"): "046"})
    post(desk, held, {("Mia", "1"): "44", ("Tom", "1"): "064"}, hand="2")
    page = desk.get(f"/classes/{held.pk}/paper/").content.decode()
    assert "second hand: 064" in page
    assert "second hand: 44" not in page  # 44 and 044 are one number

    answer = post(desk, held, {("Mia", "1"): "044", ("Tom", "1"): "046"}, is_double="on", take="yes")

    assert stored(held) == [("Mia", "1", "044", "paper", "ines")]
    assert "1 cell is left: the two hands differ." in answer.content.decode()


def test_the_second_hand_does_not_see_the_first(desk, held):
    post(desk, held, {("Mia", "1"): "044"})

    assert 'value="044"' not in desk.get(f"/classes/{held.pk}/paper/?hand=2").content.decode()


def test_names_without_a_phone_are_added(desk, held):
    post(desk, held, names="Ada\nBela, Mia Two")

    assert set(held.people.values_list("name", flat=True)) == {"Mia", "Tom", "Ada", "Bela", "Mia Two"}


def test_a_name_that_is_there_is_refused_in_words_and_cells_stay_typed(desk, held):
    answer = post(desk, held, {("Mia", "1"): "044"}, names="Ada, Tom")

    assert "Somebody in this class is called Tom already." in answer.content.decode()
    assert held.people.count() == 2
    assert 'value="044"' in answer.content.decode()


def test_a_phone_and_paper_may_be_mixed_in_one_class(desk, held):
    mia, tom = held.people.order_by("name")
    cast.send(held, mia, ("1", "044"))
    post(desk, held, {("Tom", "1"): "046"}, take="yes")

    assert [source for _, _, _, source, _ in stored(held)] == ["phone", "paper"]
    assert tom.readings.count() == 1


def table(desk, course_class, content, name="readings.csv"):
    data = content if isinstance(content, bytes) else content.encode()
    return desk.post(f"/classes/{course_class.pk}/paper/", {"hand": "1", "file": SimpleUploadedFile(name, data)}, follow=True)


def test_the_batch_table_is_noted_and_adds_people(desk, held):
    table(desk, held, "person,task,answer,compass\nMia,1,044,7\nAda,3,126,\n")

    assert sorted(PaperEntry.objects.values_list("person__name", "task", "text")) == [("Ada", "3", "126"), ("Mia", "1", "044")]


def test_a_workbook_does_as_well(desk, held):
    book = openpyxl.Workbook()
    for row in (["Person", "Task", "Answer"], ["Mia", 1, "044"]):
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    table(desk, held, stream.getvalue(), "readings.xlsx")

    assert PaperEntry.objects.get().text == "044"


@pytest.mark.parametrize(("content", "said"), [
    ("person,task,answer\nMia,9,044\n", "Line 2: the class has no task “9”. Nothing was noted."), ("person,task,answer\n,1,044\n", "Line 2: whose answer is it?"), ("person,task\nMia,1\n", "The column “answer” is missing."),
    ("person,task,answer\nMia,1,044\nmia,1,046\n", "Line 3: mia has an answer to task 1 in line 2 already."), ("person,task,answer\nMia,1,=1+1\n", "is a formula"), ("person,task,answer\n" + "Mia,1,1\n" * 5001, "more than 5000 rows")])
def test_a_table_that_cannot_be_notes_nothing(desk, held, content, said):
    answer = table(desk, held, content)

    assert said in answer.content.decode()
    assert PaperEntry.objects.count() == 0
    assert held.people.count() == 2


def test_cells_of_other_classes_and_tasks_are_passed_over(desk, held, karl):
    theirs = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))
    ((eve, _),) = cast.join(theirs, "Eve")

    desk.post(f"/classes/{held.pk}/paper/", {"hand": "1", "names": "", f"cell-{eve.pk}-1": "044", "cell-999999-1": "044", f"cell-{held.people.first().pk}-77": "044", "cell-x-1": "1"})

    assert PaperEntry.objects.count() == 0


def test_before_opening_there_is_nothing_to_type(desk, ines):
    made = cast.class_of(ines, is_open=False)

    assert "Open the class first" in desk.get(f"/classes/{made.pk}/paper/").content.decode()


@pytest.mark.parametrize("people", [1, 30])
def test_the_grid_is_shown_in_a_fixed_number_of_queries(desk, open_class, django_assert_num_queries, people):
    cast.join(open_class, *[f"P{number}" for number in range(people)])

    with django_assert_num_queries(6):
        desk.get(f"/classes/{open_class.pk}/paper/")

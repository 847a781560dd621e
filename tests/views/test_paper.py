"""Answers from paper: the grid, two hands, a table, and the readings made of them."""

import html
import io
import json
import re

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from exercises import queries
from exercises.models import CourseClass, PaperEntry, Reading
from exercises.usecases import type_paper
from exercises.usecases.open_class import close_class
from tests import cast


def post(desk, course_class, cells=None, **fields):
    names = {person.name: person.pk for person in course_class.people.all()}
    shown = {
        f"cell-{names[name]}-{task}": text for (name, task), text in fields.pop("shown", {}).items()
    }
    fields = {"shown": json.dumps(shown), **fields}
    return desk.post(
        f"/classes/{course_class.pk}/paper/",
        {
            "hand": "1",
            "names": "",
            **{f"cell-{names[name]}-{task}": text for (name, task), text in (cells or {}).items()},
            **fields,
        },
        follow=True,
    )


@pytest.fixture
def held(open_class):
    cast.join(open_class, "Mia", "Tom")
    return open_class


def stored(course_class):
    return sorted(
        Reading.objects.filter(course_class=course_class).values_list(
            "person__name", "task", "text", "source", "typed_by__username"
        )
    )


def test_what_is_typed_is_noted_before_it_is_taken_in(desk, held):
    answer = post(desk, held, {("Mia", "1"): "044", ("Tom", "2"): "t3"})

    assert sorted(PaperEntry.objects.values_list("person__name", "task", "hand", "text")) == [
        ("Mia", "1", 1, "044"),
        ("Tom", "2", 1, "T3"),
    ]
    assert stored(held) == []
    assert 'value="044"' in answer.content.decode()


def test_what_is_noted_becomes_readings_from_paper_with_who_typed_them(desk, held):
    post(desk, held, {("Mia", "1"): "044", ("Tom", "2"): "T3"}, take="yes")

    assert stored(held) == [
        ("Mia", "1", "044", "paper", "ines"),
        ("Tom", "2", "T3", "paper", "ines"),
    ]


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
    post(desk, held, {("Mia", "1"): ""}, shown={("Mia", "1"): "044"})

    assert PaperEntry.objects.count() == 0


def test_a_cell_that_was_not_touched_stays_as_another_page_noted_it(desk, held):
    # Two pages are open: what the first notes is not taken out by the blank that the second still
    # shows.
    post(desk, held, {("Mia", "1"): "044", ("Mia", "2"): "T3"})
    post(
        desk,
        held,
        {("Mia", "1"): "", ("Mia", "2"): "T3", ("Tom", "1"): "046"},
        shown={("Mia", "2"): "T3"},
    )

    assert sorted(PaperEntry.objects.values_list("person__name", "task", "text")) == [
        ("Mia", "1", "044"),
        ("Mia", "2", "T3"),
        ("Tom", "1", "046"),
    ]


def counted(course_class):
    answers = course_class.keys.get().as_domain()
    return [
        (reading.person.name, reading.task, reading.text)
        for reading in queries.readings_that_count(course_class, answers)
    ]


@pytest.mark.parametrize("feedback", ["at_once", "second_try", "released"])
@pytest.mark.parametrize("typed", [["440", "044"], ["044", "047", "044"], ["044", "", "044"]])
def test_what_the_sheet_says_by_now_is_what_counts(desk, held, feedback, typed):
    CourseClass.objects.filter(pk=held.pk).update(feedback=feedback)
    for before, text in zip(["", *typed], typed, strict=False):
        post(
            desk,
            held,
            {("Mia", "1"): text},
            shown={("Mia", "1"): before} if before else {},
            take="yes",
        )
    held.refresh_from_db()

    assert counted(held) == [("Mia", "1", "044")]


def test_an_answer_in_the_wrong_row_is_taken_back(desk, held):
    post(desk, held, {("Mia", "1"): "044"}, take="yes")
    answer = post(
        desk, held, {("Mia", "1"): "", ("Tom", "1"): "044"}, shown={("Mia", "1"): "044"}, take="yes"
    )

    assert counted(held) == [("Tom", "1", "044")]
    assert "Mia: the answer to task 1 was taken back." in answer.content.decode()


def test_a_phones_reading_counts_before_what_is_typed_from_paper(desk, held):
    cast.send(held, held.people.get(name="Mia"), ("1", "050"))
    post(desk, held, {("Mia", "1"): "044"}, take="yes")

    assert counted(held) == [("Mia", "1", "050")]


def test_what_cannot_be_seen_is_left_out_of_an_answer(desk, held):
    post(desk, held, {("Mia", "1"): "04\u200b4", ("Tom", "1"): "０４４"}, take="yes")

    assert [text for _, _, text, _, _ in stored(held)] == ["044", "044"]


def test_taking_in_again_asks_no_cell_anew(desk, held, django_assert_max_num_queries):
    post(desk, held, {("Mia", "1"): "044", ("Mia", "2"): "T3", ("Tom", "1"): "046"}, take="yes")

    answers, by = held.keys.get().as_domain(), held.owner
    with django_assert_max_num_queries(4):
        type_paper.take_in(
            course_class=held, answers=answers, is_double=False, by=by, now=cast.LATER
        )


def test_the_largest_grid_can_be_posted(desk, held):
    mia = held.people.get(name="Mia")

    answer = desk.post(
        f"/classes/{held.pk}/paper/",
        {
            "hand": "1",
            "names": "",
            "shown": "{}",
            **{f"cell-{number}-x": "" for number in range(7200)},
            f"cell-{mia.pk}-1": "044",
        },
    )

    assert (answer.status_code, PaperEntry.objects.get().text) == (302, "044")


@pytest.mark.parametrize(
    "shown", ["[]", "null", "{", '{"cell-1-1": 3}', '"x"', "9" * 5000, "[" * 99999]
)
def test_a_note_of_what_was_shown_that_is_none_loses_nothing(desk, held, shown):
    post(desk, held, {("Mia", "1"): "044"})

    answer = desk.post(
        f"/classes/{held.pk}/paper/",
        {
            "hand": "1",
            "names": "",
            "shown": shown,
            f"cell-{held.people.get(name='Mia').pk}-1": "046",
        },
        follow=True,
    )

    assert answer.status_code == 200
    assert PaperEntry.objects.get().text in ("044", "046")


def test_paper_that_is_typed_after_the_class_is_not_late(desk, held):
    close_class(course_class=held, now=cast.LATER)
    post(desk, held, {("Mia", "1"): "044"}, take="yes")

    assert list(Reading.objects.values_list("is_late", flat=True)) == [False]


def test_a_number_over_360_is_kept_and_read_as_mils(desk, held):
    post(desk, held, {("Mia", "1"): "796"}, take="yes")

    assert Reading.objects.get().value_mils == 796


def test_what_cannot_be_graded_is_kept_and_said(desk, held):
    answer = post(desk, held, {("Mia", "1"): "north-ish"}, take="yes")

    assert (
        "Mia: Kept, but “NORTH-ISH” is not an answer that can be graded." in answer.content.decode()
    )
    assert Reading.objects.get().problem == "NotABearing"


def test_two_hands_must_agree_where_that_is_asked(desk, held):
    post(desk, held, {("Mia", "1"): "044", ("Tom", "1"): "046"})
    post(desk, held, {("Mia", "1"): "44", ("Tom", "1"): "064"}, hand="2")
    page = desk.get(f"/classes/{held.pk}/paper/").content.decode()
    assert "second hand: 064" in page
    assert "second hand: 44" not in page  # 44 and 044 are one number

    answer = post(
        desk, held, {("Mia", "1"): "044", ("Tom", "1"): "046"}, is_double="on", take="yes"
    )

    assert stored(held) == [("Mia", "1", "044", "paper", "ines")]
    assert "1 cell is left: the two hands differ." in answer.content.decode()


def test_what_the_second_hand_alone_typed_is_said_to_be_left(desk, held):
    post(desk, held, {("Mia", "1"): "044"})
    answer = post(
        desk, held, {("Mia", "1"): "044", ("Tom", "1"): "046"}, hand="2", is_double="on", take="yes"
    )

    assert stored(held) == [("Mia", "1", "044", "paper", "ines")]
    assert "1 cell is left" in answer.content.decode()


def test_once_two_hands_have_typed_they_must_agree_unless_that_is_unticked(desk, held):
    ticked = re.compile(r'name="is_double"[^>]* checked')
    assert not ticked.search(desk.get(f"/classes/{held.pk}/paper/").content.decode())
    assert ticked.search(desk.get(f"/classes/{held.pk}/paper/?hand=2").content.decode())
    post(desk, held, {("Mia", "1"): "044"}, hand="2")

    assert ticked.search(desk.get(f"/classes/{held.pk}/paper/").content.decode())


def test_the_page_says_which_cells_it_showed_once(desk, held):
    post(desk, held, {("Mia", "1"): "044"})
    page = desk.get(f"/classes/{held.pk}/paper/").content.decode()

    (shown,) = re.findall(r'name="shown" value="([^"]*)"', page)
    assert json.loads(html.unescape(shown)) == {
        f"cell-{held.people.get(name='Mia').pk}-1": "044",
        **{f"unit-{person.pk}": "deg" for person in held.people.all()},
    }


def test_the_second_hand_does_not_see_the_first(desk, held):
    post(desk, held, {("Mia", "1"): "044"})

    assert 'value="044"' not in desk.get(f"/classes/{held.pk}/paper/?hand=2").content.decode()


def test_names_without_a_phone_are_added(desk, held):
    post(desk, held, names="Ada\nBela, Mia Two")

    assert set(held.people.values_list("name", flat=True)) == {
        "Mia",
        "Tom",
        "Ada",
        "Bela",
        "Mia Two",
    }


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
    return desk.post(
        f"/classes/{course_class.pk}/paper/",
        {"hand": "1", "table": "yes", "file": SimpleUploadedFile(name, data)},
        follow=True,
    )


def test_the_batch_table_is_noted_and_adds_people(desk, held):
    table(desk, held, "person,task,answer,compass\nMia,1,044,7\nAda,3,126,\n")

    assert sorted(PaperEntry.objects.values_list("person__name", "task", "text")) == [
        ("Ada", "3", "126"),
        ("Mia", "1", "044"),
    ]


def test_a_table_that_was_not_chosen_is_asked_for(desk, held):
    answer = desk.post(f"/classes/{held.pk}/paper/", {"hand": "1", "table": "yes"}, follow=True)

    assert "This field is required." in answer.content.decode()
    assert "Noted." not in answer.content.decode()


def test_a_name_in_other_letters_of_the_same_kind_is_the_same_person(desk, held):
    table(desk, held, "person,task,answer\nＭＩＡ,1,044\n")

    assert (PaperEntry.objects.get().person.name, held.people.count()) == ("Mia", 2)


def test_a_compass_in_a_table_keeps_what_is_told_of_it_and_becomes_the_persons(desk, held):
    held.compasses.filter(number="7").update(declination_is_set=True, graduation_deg=5)
    table(desk, held, "person,task,answer,compass\nAda,1,044,7\nMia,1,044,9\n")

    assert list(
        held.compasses.filter(number="7").values_list("declination_is_set", "graduation_deg")
    ) == [(True, 5)]
    assert sorted(held.people.values_list("name", "compass__number")) == [
        ("Ada", "7"),
        ("Mia", "9"),
        ("Tom", "7"),
    ]


def test_a_workbook_does_as_well(desk, held):
    book = openpyxl.Workbook()
    for row in (["Person", "Task", "Answer"], ["Mia", 1, "044"]):
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    table(desk, held, stream.getvalue(), "readings.xlsx")

    assert PaperEntry.objects.get().text == "044"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            "person,task,answer\nMia,9,044\n",
            "Line 2: the class has no task “9”. Nothing was noted.",
        ),
        ("person,task,answer\n,1,044\n", "Line 2: whose answer is it?"),
        (
            "person,task,answer\n" + "Wolfeschlegelsteinhausenbergerdorff,1,044\n",
            "Line 2: the name “Wolfeschlegelsteinha…” is too long; 30 letters are the most.",
        ),
        (
            "person,task,answer\n" + "".join(f"P{number},1,044\n" for number in range(119)),
            "A class holds 120 people.",
        ),
        ("person,task\nMia,1\n", "The column “answer” is missing."),
        (
            "person,task,answer\nMia,1,044\nmia,1,046\n",
            "Line 3: mia has an answer to task 1 in line 2 already.",
        ),
        ("person,task,answer\nMia,1,=1+1\n", "is a formula"),
        ("person,task,answer\n" + "Mia,1,1\n" * 5001, "more than 5000 rows"),
    ],
)
def test_a_table_that_cannot_be_notes_nothing(desk, held, content, said):
    answer = table(desk, held, content)

    assert said in answer.content.decode()
    assert PaperEntry.objects.count() == 0
    assert held.people.count() == 2


def test_cells_of_other_classes_and_tasks_are_passed_over(desk, held, karl):
    theirs = cast.class_of(karl, course=cast.course_of(cast.site_of(karl, "Elsewhere")))
    ((eve, _),) = cast.join(theirs, "Eve")

    desk.post(
        f"/classes/{held.pk}/paper/",
        {
            "hand": "1",
            "names": "",
            f"cell-{eve.pk}-1": "044",
            "cell-999999-1": "044",
            f"cell-{held.people.first().pk}-77": "044",
            "cell-x-1": "1",
        },
    )

    assert PaperEntry.objects.count() == 0


def test_before_opening_there_is_nothing_to_type(desk, ines):
    made = cast.class_of(ines, is_open=False)

    assert "Open the class first" in desk.get(f"/classes/{made.pk}/paper/").content.decode()


@pytest.mark.parametrize("people", [1, 30])
def test_the_grid_is_shown_in_a_fixed_number_of_queries(
    desk, open_class, django_assert_num_queries, people
):
    cast.join(open_class, *[f"P{number}" for number in range(people)])

    with django_assert_num_queries(8):
        desk.get(f"/classes/{open_class.pk}/paper/")

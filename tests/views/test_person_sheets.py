"""People's sheets at the desk: one at a time, and all of them as a PDF."""

import io

import pytest

from tests import cast, optional


def pages_of(answer):
    """The text of each page of a PDF, in one line."""
    printed = optional.package("pdfplumber").open(io.BytesIO(answer.content))
    return [" ".join(page.extract_text().split()) for page in printed.pages]


@pytest.fixture
def people(open_class):
    """Tom, Mia and Ana, who come in this order; Mia read once."""
    tom, mia, ana = (person for person, _ in cast.join(open_class, "Tom", "Mia", "Ana"))
    cast.send(open_class, mia, ("1", "225"))
    return {"Tom": tom, "Mia": mia, "Ana": ana}


def sheet_of(course_class, person):
    return f"/classes/{course_class.pk}/people/{person.pk}/"


def print_of(course_class, query=""):
    return f"/classes/{course_class.pk}/print/people.pdf{query}"


def test_a_class_opens_on_the_first_sheet_by_name(desk, open_class, people):
    answer = desk.get(f"/classes/{open_class.pk}/people/")

    assert answer.url == sheet_of(open_class, people["Ana"])


def test_a_name_that_is_chosen_leads_to_its_sheet(desk, open_class, people):
    answer = desk.get(f"/classes/{open_class.pk}/people/?person={people['Tom'].pk}")

    assert answer.url == sheet_of(open_class, people["Tom"])


@pytest.mark.parametrize("number", ["0", "one", "²", "9" * 40])
def test_a_number_that_nobody_has_leads_nowhere(desk, open_class, people, number):
    assert desk.get(f"/classes/{open_class.pk}/people/?person={number}").status_code == 404
    assert desk.get(print_of(open_class, f"?paper=a4&person={number}")).status_code == 404


def test_a_person_of_another_class_has_no_sheet_in_this_one(desk, open_class, people, ines):
    other = cast.class_of(ines, course=open_class.course)

    assert desk.get(sheet_of(other, people["Mia"])).status_code == 404
    assert desk.get(print_of(other, f"?paper=a4&person={people['Mia'].pk}")).status_code == 404


def test_a_class_of_nobody_says_so(desk, open_class):
    answer = desk.get(f"/classes/{open_class.pk}/people/")

    assert (answer.status_code, b"Nobody has joined yet." in answer.content) == (200, True)


def test_a_sheet_is_one_persons_and_leads_to_those_beside_it(desk, open_class, people):
    page = desk.get(sheet_of(open_class, people["Mia"])).content.decode()

    assert page.count('class="person-sheet"') == 1
    assert "<h2>Mia</h2>" in page
    assert "2 of 3" in page
    assert "‹ Ana" in page
    assert "Tom ›" in page


def test_the_first_sheet_has_none_before_it_and_the_last_none_after(desk, open_class, people):
    first = desk.get(sheet_of(open_class, people["Ana"])).content.decode()
    last = desk.get(sheet_of(open_class, people["Tom"])).content.decode()

    assert ('rel="prev"' in first, 'rel="next"' in first) == (False, True)
    assert ('rel="prev"' in last, 'rel="next"' in last) == (True, False)


def test_a_sheet_may_still_be_labelled(desk, open_class, people):
    page = desk.get(sheet_of(open_class, people["Mia"])).content.decode()

    assert page.count("Was it something else?") == 1


def test_a_printed_sheet_says_what_was_read_and_ranks_nobody(desk, open_class, people):
    (page,) = pages_of(desk.get(print_of(open_class, f"?paper=a4&person={people['Mia'].pk}")))

    assert page.startswith("Mia Saturday")
    for words in (
        "Credit 0 of 1.",
        "To practise Reversed.",
        "Task 1 at A",
        "No credit. You read 225°",
        "Page 1",
    ):
        assert words in page


def test_all_sheets_are_printed_by_name_each_on_a_page_of_its_own(desk, open_class, people):
    pages = pages_of(desk.get(print_of(open_class)))

    assert [page.split()[0] for page in pages] == ["Ana", "Mia", "Tom"]
    assert "No reading that counts." in pages[0]


def test_without_anybody_there_is_nothing_to_print(desk, open_class):
    answer = desk.get(print_of(open_class))

    assert answer.status_code == 409
    assert b"Nobody is in the class yet." in answer.content


def test_a_print_tells_the_page_that_it_has_come(desk, open_class, people):
    told = desk.get(print_of(open_class)).cookies["navclass_made"]

    assert (told.value, told["path"], told["httponly"]) == ("yes", "/", "")


PAGE_QUERIES, PRINT_QUERIES = 10, 10


@pytest.mark.parametrize("number", [1, 30])
def test_a_sheet_and_a_print_take_the_same_queries_however_many_people(
    desk, open_class, number, django_assert_num_queries
):
    joined = cast.join(open_class, *(f"Person {count}" for count in range(number)))
    for person, _ in joined:
        cast.send(open_class, person, ("1", "044"), ("3", "126"))
    address = sheet_of(open_class, joined[0][0])
    desk.get(address)  # the class is counted, and that is kept

    with django_assert_num_queries(PAGE_QUERIES):
        desk.get(address)
    with django_assert_num_queries(PRINT_QUERIES):
        desk.get(print_of(open_class))

"""Whether a class tells the angle between two norths, asks it from the map, or leaves it out: on
the phone, on the card and on the sheet alike.
"""

import io

import pytest

from exercises.models import Task
from exercises.printing import sheets
from tests import cast, optional

MM = 25.4 / 72  # of a point
WAYS = {
    "": "Here magnetic north lies 24° east of grid north.",
    "told": "Here magnetic north lies 24° east of grid north.",
    "on_map": "The angle from grid to magnetic north stands on the map.",
    "unsaid": "",
}
ANY = ("magnetic north lies", "stands on the map")


@pytest.fixture
def course(ines):
    course = cast.course_of(cast.site_of(ines))
    course.tasks.exclude(number=1).delete()
    course.tasks.update(north="grid")
    return course


def printed(answer, what):
    """What stands on the pages; of a sheet without its boxes, beside which a line may break."""
    pages = optional.package("pdfplumber").open(io.BytesIO(answer.content)).pages
    if what == "sheets":
        wide = float(pages[0].width) * MM - 2 * sheets.MARGIN
        boxes = sheets.sheet_boxes(wide, sheets.LEAST_DIGITS * sheets.DIGIT_MM) / MM
        begin = (sheets.MARGIN + sheets.ASKED_MM) / MM - 1
        pages = [page.crop((begin, 0, boxes - 1, page.height)) for page in pages]
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize(("way", "said"), WAYS.items())
def test_the_phone_says_the_angle_as_the_task_has_it(client, ines, course, way, said):
    course.tasks.update(angle_way=way)
    held = cast.class_with_mia(ines, client, course)

    (task,) = client.get(f"/c/{held.code}/state/").json()["tasks"]

    assert (task["prompt"], task["angle"]) == (
        "Read the bearing to the T1 thing, in degrees grid.",
        said,
    )


@pytest.mark.parametrize("what", ["cards", "sheets"])
@pytest.mark.parametrize(("way", "said"), WAYS.items())
def test_what_is_printed_says_the_angle_as_the_task_has_it(desk, ines, course, what, way, said):
    course.tasks.update(angle_way=way)
    held = cast.class_of(ines, course=course)

    text = printed(desk.get(f"/classes/{held.pk}/print/{what}.pdf"), what)

    assert said in text
    assert [words for words in ANY if words in text and words not in said] == []


def test_an_open_class_keeps_the_way_that_it_was_opened_with(client, ines, course):
    held = cast.class_with_mia(ines, client, course)
    course.tasks.update(angle_way="unsaid")

    (task,) = client.get(f"/c/{held.code}/state/").json()["tasks"]

    assert task["angle"] == WAYS["told"]


def test_a_key_from_before_there_was_a_choice_says_nothing_of_it(client, ines, course):
    held = cast.class_with_mia(ines, client, course)
    key = held.keys.get()
    del key.answers[0]["angle_way"]
    key.pk, key.version = None, 2
    key.save()

    (task,) = client.get(f"/c/{held.code}/state/").json()["tasks"]

    assert task["angle"] == ""


def test_the_way_is_chosen_with_the_task_and_said_in_its_row(desk, course):
    point = {point.code: point.pk for point in course.site.points.all()}
    desk.post(
        f"/courses/{course.pk}/",
        {
            "kind": "sight",
            "station": point["A"],
            "target": point["T2"],
            "north": "true",
            "preset": "usual",
            "angle_way": "unsaid",
        },
    )

    assert Task.objects.get(course=course, number=2).angle_way == "unsaid"
    page = " ".join(desk.get(f"/courses/{course.pk}/").content.decode().split())
    assert page.count("(angle between the norths left out)") == 1


def test_a_task_that_changed_in_anything_is_another_to_a_button(course):
    task = course.tasks.get()
    was, changes = task.fingerprint(), {}
    for name, value in {
        "given_deg": 40.0,
        "given_north": "true",
        "full_credit_m": 7.0,
        "part_credit_m": 70.0,
        "feedback": "released",
        "angle_way": "unsaid",
        "legs": "040 60",
    }.items():
        changed = course.tasks.get()
        setattr(changed, name, value)
        changes[name] = changed.fingerprint() != was

    assert [name for name, is_another in changes.items() if not is_another] == []


def test_a_task_that_only_moved_is_the_same_to_a_button(course):
    task = course.tasks.get()
    was = task.fingerprint()
    task.number = 7

    assert task.fingerprint() == was

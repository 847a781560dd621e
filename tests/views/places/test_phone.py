"""Places, walks and the field half of a map bearing, as a phone is told of them."""

import json
from dataclasses import replace

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.tasks import map_references
from exercises.domain.tasks.key import to_plain
from exercises.models import CourseClass, Key, Person, Reading
from exercises.usecases.correct_key import task_dropped
from exercises.usecases.debrief import debrief, under
from exercises.usecases.open_class import close_class
from tests import cast
from tests.views.test_prints import text as text_of
from tests.views.test_station import post, told_after

from .answering import FACE, FIX, INTERSECT, MAP, WALK, send, send_quietly, wrong_spot


class TestPhone:
    """What a phone asks and is told."""

    def test_it_is_asked_with_what_there_is_to_choose_and_never_told_the_answer(self, client, held):
        tasks = {
            task["label"]: task for task in client.get(f"/c/{held.code}/state/").json()["tasks"]
        }

        assert (
            tasks[FIX]["prompt"]
            == "Where do you stand? Take bearings to the T1 thing (T1), the T2 thing (T2) and "
            "the T3 thing (T3), turn them to grid north, and draw them back on the map. Which "
            "letter is where they meet?"
        )
        assert [choice["code"] for choice in tasks[FIX]["choices"]] == sorted(
            spot.code for spot in cast.answer_of(held, FIX).form.spots
        )
        assert (tasks[FIX]["typed"], tasks[WALK]["typed"], tasks[FIX]["needle"]) == (
            True,
            False,
            True,
        )
        assert tasks[WALK]["legs"][0] == {
            "text": "020° magnetic for 100 m",
            "metres": 100.0,
            "counted": False,
        }
        assert not any(figure in tasks[FACE]["prompt"] for figure in "0123456789")
        assert map_references.figures(cast.answer_of(held, FIX).form) not in json.dumps(tasks)

    @pytest.mark.parametrize("task", [FIX, INTERSECT, WALK])
    def test_the_right_spot_is_full_credit(self, client, held, task):
        told = send(client, held, task, cast.answer_of(held, task).form.right)

        assert (told["credit"], told["error"], told["cause"]) == (
            "Full credit",
            "On the spot, to the metre.",
            "You found it.",
        )

    def test_a_grid_reference_is_taken_and_drawn(self, client, held):
        told = send(client, held, FIX, map_references.figures(cast.answer_of(held, FIX).form))

        assert (told["credit"], told["reading"]) == (
            "Full credit",
            map_references.figures(cast.answer_of(held, FIX).form),
        )
        assert told["dial"].startswith("<svg")
        kept = Reading.objects.get()
        assert (kept.value_deg, kept.target, kept.half_m) == (None, "", 5.0)

    def test_a_wrong_marker_is_told_with_the_way_split(self, client, held):
        told = send(client, held, WALK, wrong_spot(held, WALK))

        assert told["credit"] == "No credit"
        assert "Along the way" in told["error"]
        assert "across it" in told["error"]

    def test_what_is_no_place_is_kept_and_to_be_entered_again(self, client, held):
        answer = post(
            client, held, cast.reading(held.joined[0][0], task=FIX, text="by the hut")
        ).json()

        assert "is not an answer that can be graded" in answer["readings"][0]["message"]
        assert Reading.objects.get().problem == "NotASpot"

    def test_the_field_half_goes_by_the_persons_own_number(self, client, held):
        own = round(cast.answer_of(held, MAP).expected_deg + 180) % 360
        along = min(
            ("T1", "T2"),
            key=lambda code: abs(
                (
                    next(
                        other.bearing_deg
                        for other in cast.answer_of(held, FACE).others
                        if other.code == code
                    )
                    - own
                    - cast.answer_of(held, FACE).norths.correction("grid", "true")
                    + 180
                )
                % 360
                - 180
            ),
        )
        send_quietly(client, held, MAP, f"{own:03d}")

        told = send(client, held, FACE, along)

        assert (told["credit"], told["cause"]) == ("Full credit", "You found it.")
        assert told["note"] == f"Judged along your own bearing, {own:03d}° grid."

    def test_the_field_half_waits_for_the_map_half_and_tells_nothing_of_it(self, client, held):
        right = round(cast.answer_of(held, MAP).expected_deg)
        alone = told_after(client, held, cast.reading(held.joined[0][0], task=FACE, text="T3"))

        assert alone["shown"] == []
        assert f"{right:03d}" not in json.dumps(client.get(f"/c/{held.code}/state/").json())

    def test_the_map_half_is_told_when_it_was_faced_and_both_at_once(self, client, held):
        """2026-11-26: who was told the map half's answer faced that, and was judged by the number
        before.
        """
        send_quietly(client, held, MAP, "118")
        before = client.get(f"/c/{held.code}/state/").json()["shown"]

        after = told_after(client, held, cast.reading(held.joined[0][0], task=FACE, text="T3"))[
            "shown"
        ]

        assert before == []
        assert sorted(one["task"] for one in after) == [MAP, FACE]

    def test_on_a_shared_phone_both_halves_wait_for_everybody(self, client, held):
        tom = cast.join(held, "Tom")
        cast.speaks_for(client, held, [*held.joined, *tom])
        send_quietly(client, held, MAP, "298")
        for person in (held.joined[0][0], tom[0][0]):
            post(client, held, cast.reading(person, task=FACE, text="T3"))

        assert client.get(f"/c/{held.code}/state/").json()["shown"] == []

    def test_after_closing_the_field_half_still_tells_nothing_of_a_map_half_that_waits(
        self, client, held
    ):
        held.course.tasks.filter(number=int(MAP)).update(feedback="released")
        key = held.keys.get()
        answers = [
            replace(answer, feedback="released") if answer.task == MAP else answer
            for answer in key.as_domain()
        ]
        key.pk, key.version, key.answers = None, 2, to_plain(answers)
        key.save()
        send_quietly(client, held, FACE, "T3")
        close_class(course_class=held, now=cast.LATER)

        assert client.get(f"/c/{held.code}/state/").json()["shown"] == []

    def test_a_number_typed_wrongly_from_paper_and_mended_is_not_what_was_faced(
        self, client, held, ines
    ):
        client.force_login(ines)
        mia, right = held.joined[0][0], round(cast.answer_of(held, MAP).expected_deg)
        for text in ("118", f"{right:03d}"):
            client.post(
                f"/classes/{held.pk}/paper/",
                {
                    "hand": "1",
                    "names": "",
                    "shown": "{}",
                    f"cell-{mia.pk}-{MAP}": text,
                    f"cell-{mia.pk}-{FACE}": "T3",
                    "take": "yes",
                },
            )

        (one,) = [
            one for one in debrief(course_class=held, now=cast.LATER).judged if one.task == FACE
        ]
        assert (one.reading.heard_deg, one.credit) == (right, 1.0)

    def test_an_intersection_is_listed_at_each_of_its_marks(self, client, held):
        held.course.tasks.exclude(number=int(INTERSECT)).delete()
        state = client.get(f"/c/{held.code}/state/").json()

        assert next(task["at"] for task in state["tasks"] if task["label"] == INTERSECT) == [
            "A",
            "B",
        ]
        assert [station["code"] for station in state["stations"]] == ["A", "B"]

    def test_the_field_half_waits_as_long_as_the_map_half_is_not_told(self, client, held):
        CourseClass.objects.update(feedback="released")
        send_quietly(client, held, MAP, "100")
        send_quietly(client, held, FACE, "T3")

        assert client.get(f"/c/{held.code}/state/").json()["shown"] == []

    def test_phone_and_record_judge_the_field_half_by_the_same_number(self, client, held, ines):
        """A first map reading counts, a second one is walked with: 2026-11-26, a phone said sound
        where the debrief said reversed.
        """
        right = cast.answer_of(held, MAP).expected_deg
        for text in (f"{round(right + 180) % 360:03d}", f"{round(right):03d}"):
            send_quietly(client, held, MAP, text)
        told = send(client, held, FACE, "T3")

        (one,) = [
            one for one in debrief(course_class=held, now=cast.LATER).judged if one.task == FACE
        ]
        assert (told["credit"], one.credit, one.cause) == ("Full credit", 1.0, "ok")

    def test_a_dropped_map_half_leaves_the_field_half_as_it_was(self, client, held):
        own = round(cast.answer_of(held, MAP).expected_deg + 180) % 360
        send_quietly(client, held, MAP, f"{own:03d}")
        send_quietly(client, held, FACE, "T3")
        key = held.keys.get()

        before, after = (
            [one.credit for one in under(course_class=held, key=one_key).judged if one.task == FACE]
            for one_key in (key, task_dropped(key=key, task=MAP))
        )

        assert before == after == [0.0]

    def test_a_wider_band_reaches_metres_too(self, client, held):
        Person.objects.update(wider_band_deg=30)
        where = cast.answer_of(held, FIX).form
        east, north = geodesy.easting_northing(
            geodesy.moved(where.origin, where.east_m + 60, where.north_m), where.epsg
        )

        assert send(client, held, FIX, f"{east:.0f} {north:.0f}")["credit"] == "Full credit"

    def test_a_place_without_an_explanation_is_not_explained(self, client, held):
        where = cast.answer_of(held, FIX).form
        east, north = geodesy.easting_northing(
            geodesy.moved(where.origin, where.east_m + 900, where.north_m + 1400), where.epsg
        )

        assert send(client, held, FIX, f"{east:.0f} {north:.0f}")["cause"] in (
            "We cannot tell what happened here.",
            "We cannot tell for certain. It may be this: mirrored.",
        )

    def test_an_intersection_names_all_marks(self, client, held):
        tasks = {
            task["label"]: task for task in client.get(f"/c/{held.code}/state/").json()["tasks"]
        }

        assert tasks[INTERSECT]["marks"] == ["A: peg at the gate", "B: painted stone"]
        assert "marks" not in tasks[FIX]

    def test_paces_are_kept_and_told_to_the_phone(self, client, held):
        mia = held.joined[0][0]

        answer = client.post(f"/c/{held.code}/pace/", {"length": "100", f"person{mia.pk}": "62"})

        assert answer.status_code == 302
        assert round(client.get(f"/c/{held.code}/state/").json()["people"][0]["pace_m"], 3) == 1.613

    @pytest.mark.parametrize(
        ("length", "count", "complaint"),
        [
            ("100", "0", "too few for a taped line"),
            ("100", "", "required"),
            ("5", "10", "greater than or equal to 20"),
            ("100", "300", "a double pace of 0.3 m"),
            ("100", "inf", "a number"),
        ],
    )
    def test_counts_that_make_no_pace_are_refused_in_words(
        self, client, held, length, count, complaint
    ):
        answer = client.post(
            f"/c/{held.code}/pace/", {"length": length, f"person{held.joined[0][0].pk}": count}
        )

        assert complaint in answer.content.decode()
        assert Person.objects.get().pace_m is None

    def test_a_phone_sets_the_paces_of_its_own_people_alone(self, client, held):
        ((tom, _),) = cast.join(held, "Tom")

        client.post(
            f"/c/{held.code}/pace/",
            {"length": "100", f"person{held.joined[0][0].pk}": "62", f"person{tom.pk}": "62"},
        )

        assert Person.objects.get(pk=tom.pk).pace_m is None


def test_nothing_that_is_told_before_names_the_target_that_is_to_be_faced(client, held, ines):
    """2026-11-27: the map half named it, and so the field half was answered without a compass."""
    tasks = {task["label"]: task for task in client.get(f"/c/{held.code}/state/").json()["tasks"]}
    client.force_login(ines)
    sheets, cards = (
        " ".join(text_of(client.get(f"/classes/{held.pk}/print/{what}.pdf")).split())
        for what in ("sheets", "cards")
    )
    letter = cast.answer_of(held, MAP).spot
    asked = (
        f"On the map: measure the bearing from the A thing (A) to spot {letter}, in degrees grid."
    )

    assert tasks[MAP]["prompt"] == asked
    assert "T3" not in json.dumps(tasks[MAP])
    assert asked in cards
    assert f"to spot {letter}," in sheets  # the units of the boxes stand between the lines
    assert "(A) to the T3" not in sheets
    assert len(tasks[FACE]["choices"]) > 1


def test_the_printed_map_has_the_letter_and_none_of_what_may_be_named(client, held, ines):
    client.force_login(ines)
    held.course.tasks.exclude(number__in=(int(MAP), int(FACE))).delete()
    with cast.unheld():  # it shows the course of today then
        Key.objects.all().delete()

    words = text_of(client.get(f"/classes/{held.pk}/print/map.pdf")).split()

    assert "T3" not in words
    assert not {"T1", "T2"} & set(words)
    assert "C" in words

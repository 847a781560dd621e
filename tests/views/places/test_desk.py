"""Places at the desk: debrief, prints, tables and paper."""

import csv
import io

import pytest

from exercises.domain.tasks import map_references
from exercises.models import Key, Reading
from exercises.usecases.open_class import close_class, release_feedback
from tests import cast
from tests.views.test_prints import text as text_of

from .answering import FACE, FIX, INTERSECT, MAP, WALK, send, send_quietly, wrong_spot


class TestDesk:
    """Key, debrief, tables, prints, paper."""

    @pytest.fixture
    def read(self, client, held, ines):
        for task in (FIX, INTERSECT, WALK):
            send(client, held, task, wrong_spot(held, task))
        send_quietly(client, held, MAP, "100")
        send_quietly(client, held, FACE, "T3")
        client.force_login(ines)
        close_class(course_class=held, now=cast.NOW)
        release_feedback(course_class=held, now=cast.NOW)
        return held

    def test_the_key_names_spots_lines_and_legs(self, client, held, ines):
        client.force_login(ines)

        page = client.get(f"/classes/{held.pk}/key/").content.decode()

        assert (
            f"{cast.answer_of(held, FIX).form.right} (grid "
            f"{map_references.figures(cast.answer_of(held, FIX).form)})" in page
        )
        assert "A → T1, T2, T3" in page
        assert "A, B → T2" in page
        assert "020° magnetic for 100 m" in page

    @pytest.mark.parametrize("page", ["debrief/", "debrief/alone/", "people/"])
    def test_what_went_wrong_is_debriefed(self, client, read, page):
        assert client.get(f"/classes/{read.pk}/{page}", follow=True).status_code == 200

    def test_the_debrief_draws_the_ground_and_counts_metres(self, client, read):
        page = client.get(f"/classes/{read.pk}/debrief/").content.decode()

        assert page.count('class="dial whereabouts"') >= 3
        assert "Walk 020° magnetic for 100 m" in page

    def test_the_table_of_results_has_places_in_columns_of_their_own(self, client, read):
        rows = list(
            csv.DictReader(
                io.StringIO(
                    client.get(f"/classes/{read.pk}/results.csv").content.decode("utf-8-sig")
                )
            )
        )
        by_task = {row["task"]: row for row in rows}

        assert by_task[WALK]["expected_place"] == "B"
        assert float(by_task[WALK]["error_m"]) > 30
        assert (
            by_task[WALK]["reading_deg"],
            by_task[MAP]["error_m"],
            by_task[MAP]["reading_deg"],
        ) == ("", "", "100.0")

    def test_the_map_hides_what_is_sought_and_shows_letters(self, client, held, ines):
        client.force_login(ines)
        held.course.tasks.filter(number__in=(1, 2, 3, int(MAP), int(FACE))).delete()
        with cast.unheld():  # it shows the course of today then
            Key.objects.all().delete()

        printed = text_of(client.get(f"/classes/{held.pk}/print/map.pdf"))
        words = printed.split()

        assert "place to choose from" in printed
        assert "T2" not in words  # intersected
        assert "T3" in words

    def test_a_point_with_another_code_since_does_not_give_the_place_away(self, client, held, ines):
        """2026-11-26: the map drew today's points beside the key's, and so the mark of a fix under
        its new code.
        """
        client.force_login(ines)
        held.course.site.points.filter(code="A").update(code="A9")

        assert "A9" not in text_of(client.get(f"/classes/{held.pk}/print/map.pdf")).split()

    def test_there_is_a_card_at_each_mark_of_an_intersection(self, client, held, ines):
        client.force_login(ines)

        printed = text_of(client.get(f"/classes/{held.pk}/print/cards.pdf"))

        assert printed.count(f"Task {INTERSECT}: Where is the T2 thing") == 2

    def test_sheets_name_the_letters_and_never_the_answer(self, client, held, ines):
        client.force_login(ines)
        letters = sorted(spot.code for spot in cast.answer_of(held, FIX).form.spots)

        printed = " ".join(text_of(client.get(f"/classes/{held.pk}/print/sheets.pdf")).split())

        assert all(
            words in printed for words in (f"{letters[0]} to {letters[-1]}, or", "figures")
        )  # in two lines beside the box
        assert "Double paces in ____ m" in printed
        assert map_references.figures(cast.answer_of(held, FIX).form) not in printed

    @pytest.mark.parametrize("what", ["cards", "key", "people", "pack"])
    def test_every_print_is_made(self, client, read, what):
        assert (
            client.get(f"/classes/{read.pk}/print/{what}.pdf")["Content-Type"] == "application/pdf"
        )

    def test_paper_takes_letters_and_grid_references(self, client, held, ines):
        client.force_login(ines)
        mia, figures = held.joined[0][0], map_references.figures(cast.answer_of(held, FIX).form)

        client.post(
            f"/classes/{held.pk}/paper/",
            {
                "hand": "1",
                "names": "",
                "shown": "{}",
                f"cell-{mia.pk}-{FIX}": figures,
                f"cell-{mia.pk}-{WALK}": "b",
                "take": "yes",
            },
        )

        assert sorted(
            Reading.objects.values_list("task", "text", "target", "problem", "source")
        ) == [(FIX, figures, "", "", "paper"), (WALK, "B", "B", "", "paper")]


def test_places_are_judged_in_a_fixed_number_of_queries(
    client, held, ines, django_assert_max_num_queries
):
    for person, _ in cast.join(held, *"abcdefgh"):
        cast.send(
            held,
            person,
            (FIX, cast.answer_of(held, FIX).form.right),
            (WALK, "B"),
            (MAP, "100"),
            (FACE, "T3"),
        )
    client.force_login(ines)

    with django_assert_max_num_queries(20):
        client.get(f"/classes/{held.pk}/debrief/")

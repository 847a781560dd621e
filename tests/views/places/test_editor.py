"""Tasks that ask for a place, in the course editor and its check."""

import pytest

from exercises.models import Course
from exercises.usecases import plan_course
from tests import cast

from .answering import MAP


class TestEditor:
    """The form of a task asks for what a kind needs."""

    def add(self, desk, course, **fields):
        point = {point.code: point.pk for point in course.site.points.all()}
        named = {name: point.get(value, value) for name, value in fields.items()}
        return desk.post(
            f"/courses/{course.pk}/",
            {"station": point["A"], "north": "grid", "preset": "usual", **named},
        )

    @pytest.fixture
    def empty(self, ines):
        return Course.objects.create(site=cast.site_of(ines), name="Round")

    def test_a_fix_keeps_its_known_points_and_its_band_in_metres(self, desk, empty):
        self.add(
            desk,
            empty,
            kind="fix",
            target="T1",
            second="T2",
            third="T3",
            full_credit_m="20",
            part_credit_m="45",
        )

        task = empty.tasks.select_related("second", "third").get()
        assert (task.second.code, task.third.code, task.full_credit_m, task.part_credit_m) == (
            "T2",
            "T3",
            20,
            45,
        )

    def test_a_walk_may_end_at_a_mark_and_keeps_its_legs(self, desk, empty):
        self.add(desk, empty, kind="walk", target="B", north="magnetic", legs="020 100")

        assert [(task.legs, task.full_credit_m) for task in empty.tasks.all()] == [("020 100", 15)]

    @pytest.mark.parametrize(
        ("fields", "complaint"),
        [
            ({"kind": "fix", "target": "T1"}, "at least one more known point"),
            ({"kind": "walk", "target": "B", "legs": "twenty paces"}, "is not a leg"),
            (
                {
                    "kind": "fix",
                    "target": "T1",
                    "second": "T2",
                    "full_credit_m": "50",
                    "part_credit_m": "20",
                },
                "reach at least as far",
            ),
            (
                {"kind": "fix", "target": "T1", "second": "T2", "north": "magnetic"},
                "asked in these norths",
            ),
            ({"kind": "sight", "target": "B"}, "a mark that nobody sights"),
            ({"kind": "fix", "target": "T1", "second": "T1"}, "T1 is named already"),
            ({"kind": "fix", "target": "T1", "second": "B"}, "a mark that nobody sights"),
            ({"kind": "intersect", "target": "T1", "second": "T2"}, "Nobody can stand at T2"),
            ({"kind": "intersect", "target": "T1", "second": "A"}, "A is named already"),
            ({"kind": "walk", "target": "A"}, "cannot be its own target"),
        ],
    )
    def test_what_cannot_be_asked_is_refused_where_it_stands(self, desk, empty, fields, complaint):
        answer = self.add(desk, empty, **fields)

        assert complaint in answer.content.decode()
        assert not empty.tasks.exists()

    def test_what_another_kind_left_in_its_fields_is_not_kept(self, desk, empty):
        self.add(
            desk,
            empty,
            kind="sight",
            target="T1",
            second="T2",
            legs="nonsense",
            given_deg="999",
            full_credit_m="7",
        )

        task = empty.tasks.get()
        assert (task.second, task.legs, task.given_deg, task.full_credit_m) == (None, "", None, 15)

    def test_a_map_bearing_brings_its_field_half_along(self, desk, empty):
        self.add(desk, empty, kind="map", target="T3", then_face="on")

        assert list(empty.tasks.values_list("number", "kind", "target__code", "north")) == [
            (1, "map", "T3", "grid"),
            (2, "face", "T3", "grid"),
        ]

    def test_a_full_course_takes_neither_half(self, desk, empty, monkeypatch):
        monkeypatch.setattr(plan_course, "MOST_TASKS", 1)

        self.add(desk, empty, kind="map", target="T3", then_face="on")

        assert not empty.tasks.exists()

    def test_a_point_that_a_fix_needs_cannot_be_deleted(self, desk, course):
        course.tasks.filter(target__code="T3").delete()

        answer = desk.post(f"/sites/{course.site_id}/points/T3/delete/", follow=True)

        assert "is used by a task" in answer.content.decode()
        assert course.site.points.filter(code="T3").exists()

    def test_a_new_target_of_a_map_half_is_that_of_its_field_half(self, desk, course):
        plan_course.change_task(
            course=course,
            number=int(MAP),
            was=course.tasks.get(number=int(MAP)).fingerprint(),
            target="T2",
        )

        assert list(
            course.tasks.filter(kind__in=("map", "face")).values_list("target__code", flat=True)
        ) == ["T2", "T2"]

    def test_the_check_speaks_of_places(self, desk, course):
        page = desk.get(f"/courses/{course.pk}/").content.decode()

        assert "one sigma ±" in page
        assert "15 m, 30 m" in page

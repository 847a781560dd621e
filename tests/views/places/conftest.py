import pytest

from exercises.models import Task
from tests import cast

from .answering import FACE, FIX, INTERSECT, MAP, WALK


@pytest.fixture
def course(ines):
    made = cast.course_of(cast.site_of(ines))
    point = {point.code: point for point in made.site.points.all()}
    for number, kind, station, target, north, more in (
        (FIX, "fix", "A", "T1", "grid", {"second": point["T2"], "third": point["T3"]}),
        (INTERSECT, "intersect", "A", "T2", "grid", {"second": point["B"]}),
        (WALK, "walk", "A", "B", "magnetic", {"legs": "020 100"}),
        (MAP, "map", "A", "T3", "grid", {}),
        (FACE, "face", "A", "T3", "grid", {}),
    ):
        Task.objects.create(
            course=made,
            number=int(number),
            kind=kind,
            station=point[station],
            target=point[target],
            north=north,
            **more,
        )
    return made


@pytest.fixture
def held(ines, client, course):
    return cast.class_with_mia(ines, client, course)

"""Grading from files: work grows with tasks and readings, and not with tasks times points or with
the square of either. Counted, never timed.
"""

import cProfile
import io
import pstats
from collections import Counter

import pytest

from exercises.domain.earth import geodesy
from exercises.domain.tasks import key
from exercises.domain.tasks.site import Site
from exercises.exchange import batch, tables
from tests.benchmark_batch import ON, files, forget

MARKS_TRIED = 12  # of each task: where one may stand instead (`kinds.ground.MOST_MARKS`)
MOST_TIMES = 4  # for three times the tasks; a square would take nine times
OWN_LINES = 8  # of each task: its own, and those of a position that it draws


@pytest.fixture
def asked(monkeypatch):
    """The lines (station, target) for which a site was asked, and how often."""
    lines, sight_line = Counter(), Site.sight_line

    def counted(site, station, target):
        lines[station, target] += 1
        return sight_line(site, station, target)

    monkeypatch.setattr(Site, "sight_line", counted)
    return lines


def calls(tmp_path, made):
    """How often each function is called to grade a class, by its file and name."""
    paths = made.write(tmp_path)
    forget()
    profile = cProfile.Profile()
    profile.runcall(batch.grade_tables, *paths, on=ON)
    counts = Counter()
    for (file, _, name), (_, number, *_) in pstats.Stats(profile).stats.items():
        counts[file, name] += number
    return counts


@pytest.mark.parametrize(
    ("kinds", "tasks", "so_few"),  # so few calls more may come by chance: who is wrong is drawn
    [
        pytest.param(("sight", "follow", "map", "back"), 24, 500, id="directions"),
        pytest.param(("fix", "intersect", "walk"), 9, 1500, id="places"),
    ],
)
def test_with_three_times_the_tasks_no_function_is_called_much_more_than_three_times_as_often(
    tmp_path, kinds, tasks, so_few
):
    few, many = (
        calls(tmp_path, files(number, kinds=kinds, stations=6, targets=8))
        for number in (tasks, 3 * tasks)
    )

    more = {
        name: (few[name], number)
        for name, number in many.items()
        if number > MOST_TIMES * few[name] + so_few
    }
    assert more == {}


@pytest.mark.parametrize("tasks", [40, 120])
def test_what_a_station_sees_is_asked_once_for_all_tasks(asked, tasks):
    made = files(tasks, stations=20, targets=20)
    site = Site(tables.read_points("points.csv", io.StringIO(made.points)))
    rows = tables.read_course("course.csv", io.StringIO(made.course), site.points)
    asked.clear()

    key.compute([task for task, _ in rows], site, ON)

    seen, marks = 20 * 39, 20 * 19  # from each station every other point, and every other station
    assert asked.total() <= seen + marks + (MARKS_TRIED + OWN_LINES) * tasks


def test_the_places_of_a_course_are_compared_by_geodesics_only_where_they_may_be_the_same(
    monkeypatch,
):
    made = files(60, kinds=("fix",), stations=60, targets=6)
    site = Site(tables.read_points("points.csv", io.StringIO(made.points)))
    rows = tables.read_course("course.csv", io.StringIO(made.course), site.points)
    apart_m, compared = geodesy.apart_m, []
    monkeypatch.setattr(
        geodesy, "apart_m", lambda one, other: compared.append(one) or apart_m(one, other)
    )

    key.compute([task for task, _ in rows], site, ON)

    assert len(compared) < 3 * 60  # of 1,770 pairs

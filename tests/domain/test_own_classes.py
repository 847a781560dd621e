"""How one person did in several classes: by kind of task, and which mistakes came back."""

from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.earth.angles import Written
from exercises.domain.results.judged import Judged
from exercises.domain.results.own_classes import UNTOLD, mistakes, skills
from exercises.domain.tasks.forms.direction import DirectionGrade
from exercises.domain.tasks.reading import Reading
from tests.ground import answer


def readings(full, missed=0, *, cause="reversed", kind="sight"):
    """So many readings with full credit, and so many without any, of one cause."""
    return [
        Judged(
            Reading("Mia", "1", Written(74.0)),
            answer(kind=kind),
            DirectionGrade(credit, 74.0, 0.0, {}),
            Verdict("ok" if credit else cause, 0.9),
        )
        for credit in [1.0] * full + [0.0] * missed
    ]


def test_a_kind_of_task_has_a_share_in_each_class_that_asked_it():
    (sight, back) = skills([readings(3, 1), [*readings(2, 2), *readings(1, kind="back")]])

    assert [(one.hits, one.number) for one in sight.shares] == [(3, 4), (2, 4)]
    assert (back.kind, back.shares[0], back.shares[1].share) == ("back", None, 1.0)


def test_a_change_is_told_where_the_intervals_lie_apart_and_not_before():
    # Wilson's intervals: 1 of 12 reaches up to .35, 11 of 12 down to .65, 6 of 12 from .25 to .75
    found = [
        skills([readings(first, 12 - first), readings(last, 12 - last)])[0]
        for first, last in ((1, 11), (11, 1), (1, 6))
    ]

    assert [one.change for one in found] == ["rising", "falling", "steady"]


def test_of_one_class_no_change_is_told():
    assert skills([readings(3), []])[0].change == UNTOLD


def test_mistakes_are_counted_in_each_class_and_the_latest_come_first():
    before = [*readings(0, 3), *readings(0, 1, cause="declination_ignored")]
    after = [*readings(2, 1, cause="reversed+mirrored")]

    assert list(mistakes([before, after]).items()) == [
        ("reversed", (3, 1)),
        ("mirrored", (0, 1)),
        ("declination_ignored", (1, 0)),
    ]


def test_nothing_comes_of_no_class():
    assert (skills([]), mistakes([])) == ([], {})

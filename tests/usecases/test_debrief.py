import pytest

from exercises import queries
from exercises.domain.diagnosis import diagnosis, priors
from exercises.models import CourseClass, Key, Results
from exercises.usecases import correct_key, experience
from exercises.usecases.correct_key import NotCorrected
from exercises.usecases.debrief import beliefs, debrief, keep_up
from exercises.usecases.open_class import close_class, open_class as open_it
from tests import cast
from tests.cast import send


@pytest.fixture
def read(open_class):
    return cast.six_read(open_class, other=("2", "T3"))


def test_what_was_found_is_kept_with_the_models_version_and_used_again(
    read, django_assert_num_queries
):
    first = debrief(course_class=read, now=cast.LATER)

    kept = Results.objects.get()
    assert (kept.model_version, kept.key_version, kept.readings_count) == (
        diagnosis.MODEL_VERSION,
        1,
        12,
    )
    with django_assert_num_queries(5):  # key, readings, people, seen to, results
        assert debrief(course_class=read, now=cast.LATER).diagnosis == first.diagnosis


def test_what_was_found_follows_from_readings_and_key_alone(read):
    first = debrief(course_class=read, now=cast.LATER).diagnosis
    Results.objects.all().delete()

    assert debrief(course_class=read, now=cast.NOW).diagnosis == first


def test_a_reading_more_is_found_out_about(read):
    debrief(course_class=read, now=cast.LATER)
    ((nele, _),) = cast.join(read, "Nele")
    send(read, nele, ("1", "224"))

    assert len(debrief(course_class=read, now=cast.LATER).judged) == 13
    assert Results.objects.get().readings_count == 13


def test_a_reading_that_arrives_is_judged_by_what_the_class_knows_without_fitting_it_again(read):
    answer = read.keys.get().as_domain()[0]

    def judged(name):
        ((person, _),) = cast.join(read, name)
        send(read, person, ("1", f"{round(answer.expected_deg + 12) % 360:03d}"))
        own = list(read.readings.filter(person=person).select_related("person"))
        return queries.judged_for(read, read.keys.get(), own)[0][0].cause

    before = judged("Nele")
    debrief(course_class=read, now=cast.LATER)
    kept = Results.objects.values().get()

    assert (before, judged("Oli")) == ("ok", "station_fault")
    assert Results.objects.values().get() == kept
    assert (kept["readings_count"], read.readings.count()) == (13, 14)


def test_an_open_class_is_counted_again_when_it_has_grown(read):
    keep_up(course_class=read, now=cast.NOW)
    assert not Results.objects.exists()
    for person, _ in cast.join(read, *"ghij"):
        send(read, person, ("1", "044"))
    keep_up(course_class=read, now=cast.LATER)

    assert Results.objects.get().readings_count == 16


def test_moving_a_stations_answers_is_a_new_version_with_its_reason(read, ines):
    key = correct_key.station_corrected(
        key=read.keys.get(), station="A", degrees=12.0, error_deg=1.0
    )
    correct_key.adopt(key=key, by=ines, now=cast.LATER, reason="steel gate")

    old, new = (Key.objects.get(version=version) for version in (1, 2))
    assert (new.reason, new.frozen_by, new.frozen_at) == ("steel gate", ines, cast.LATER)
    assert new.as_domain()[0].expected_deg == pytest.approx(old.as_domain()[0].expected_deg + 12.0)
    assert new.as_domain()[1:] == old.as_domain()[1:]
    assert {
        result.credit
        for result in debrief(course_class=read, now=cast.LATER).judged
        if result.task == "1"
    } == {1.0}


def test_a_dropped_task_counts_no_more_and_its_readings_are_kept(read, ines):
    correct_key.adopt(
        key=correct_key.task_dropped(key=read.keys.get(), task="1"),
        by=ines,
        now=cast.LATER,
        reason="gate",
    )

    assert {result.task for result in debrief(course_class=read, now=cast.LATER).judged} == {"2"}
    assert read.readings.filter(task="1").count() == 6


def test_an_older_version_can_be_taken_back_up(read, ines):
    correct_key.adopt(
        key=correct_key.task_dropped(key=read.keys.get(), task="1"),
        by=ines,
        now=cast.LATER,
        reason="gate",
    )
    correct_key.adopt(
        key=correct_key.taken_back(key=queries.current_key(read), older=read.keys.get(version=1)),
        by=ines,
        now=cast.LATER,
        reason="no gate",
    )

    key = queries.current_key(read)
    assert (key.version, key.dropped, key.answers) == (3, [], read.keys.get(version=1).answers)


def test_two_corrections_at_once_do_not_both_win(read, ines):
    one, other = (correct_key.task_dropped(key=read.keys.get(), task=task) for task in "12")
    correct_key.adopt(key=one, by=ines, now=cast.LATER, reason="gate")

    with pytest.raises(NotCorrected, match="changed meanwhile"):
        correct_key.adopt(key=other, by=ines, now=cast.LATER, reason="gate")
    assert read.keys.count() == 2


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201])
def test_a_correction_without_a_reason_is_refused(read, ines, reason):
    with pytest.raises(NotCorrected, match="reason"):
        correct_key.adopt(
            key=correct_key.task_dropped(key=read.keys.get(), task="1"),
            by=ines,
            now=cast.LATER,
            reason=reason,
        )


def test_the_last_task_is_not_dropped(read, ines):
    key = read.keys.get()
    key.dropped = ["1", "2"]

    with pytest.raises(NotCorrected, match="last task"):
        correct_key.task_dropped(key=key, task="3")


def test_a_closed_class_sharpens_the_priors_of_the_next_and_not_those_of_others(read, ines, karl):
    close_class(course_class=read, now=cast.LATER)
    debrief(course_class=read, now=cast.LATER)

    sharpened, held = beliefs(ines)
    assert sum(held[0].habits) == pytest.approx(6.0)
    assert sharpened.people == pytest.approx(priors.STATED.people + 6.0)
    assert beliefs(karl) == (priors.STATED, [])


def test_a_class_keeps_the_priors_that_it_was_opened_with(read, ines):
    close_class(course_class=read, now=cast.LATER)
    debrief(course_class=read, now=cast.LATER)
    later = cast.class_of(ines, is_open=False, course=read.course)
    open_it(course_class=later, by=ines, now=cast.LATER)
    Results.objects.all().delete()

    assert later.keys.get().stated().people == pytest.approx(priors.STATED.people + 6.0)
    assert read.keys.get().stated() == priors.STATED


def test_experience_can_be_forgotten_and_remembered(read, ines):
    close_class(course_class=read, now=cast.LATER)
    debrief(course_class=read, now=cast.LATER)
    experience.forget(instructor=ines, now=cast.LATER)
    forgotten = beliefs(ines)
    experience.remember(instructor=ines)

    assert forgotten == (priors.STATED, [])
    assert len(beliefs(ines)[1]) == 1


def test_classes_that_are_open_do_not_count_as_experience(read, ines):
    debrief(course_class=read, now=cast.LATER)

    assert beliefs(ines) == (priors.STATED, [])
    assert CourseClass.objects.get().is_open

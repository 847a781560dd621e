import dataclasses
import random

import pytest

from exercises.domain.diagnosis import diagnosis
from exercises.domain.diagnosis.verdicts import Verdict
from exercises.domain.earth.angles import Written, parse_bearing_on_paper
from exercises.domain.earth.norths import Norths
from exercises.domain.mistakes import causes
from exercises.domain.planning import course_check
from exercises.domain.results import cohort
from exercises.domain.results.judged import Judged
from exercises.domain.results.rehearsal import Participant, answer_text, participant
from exercises.domain.tasks.answer import Other
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.forms import Bearing
from exercises.domain.tasks.forms.direction import DirectionGrade
from exercises.domain.tasks.forms.target import Chosen
from exercises.domain.tasks.reading import Reading
from exercises.presenting.causes import WORDS
from exercises.presenting.findings import cure_of, what_is
from tests.ground import answer

OTAGO = Norths(25.6, 2.1)


def verdict(one, seen):
    return diagnosis.diagnose((one,), [Reading("Mia", one.task, seen)]).verdicts[0]


@pytest.mark.parametrize(
    ("number", "cause"),
    [
        (70, "ok"),
        (73, "ok"),
        (250, "reversed"),
        (44, "declination_ignored"),
        (19, "declination_wrong_way"),
        (96, "declination_twice"),
        (160, "quarter_turn"),
        (170, "hundred_off"),
        (305, "unexplained"),
    ],
)
def test_a_clear_mistake_is_named(number, cause):
    one = answer(true_deg=70.0, norths=OTAGO)

    assert verdict(one, Written(float(number))).cause == cause


def test_another_target_is_named_with_its_code():
    found = verdict(
        answer(true_deg=70.0, norths=OTAGO, others=[("T2", 122.0), ("T3", 200.0)]), Written(122.0)
    )

    assert (found.cause, found.detail) == ("other_target", "T2")


def test_another_station_is_named_with_its_code():
    found = verdict(
        answer(true_deg=70.0, norths=OTAGO, stations=[Other("B", 131.0)]), Written(131.0)
    )

    assert (found.cause, found.detail) == ("other_station", "B")


def test_a_number_that_can_only_be_mils_is_explained_as_mils():
    one = answer(true_deg=74.0, norths=OTAGO)
    seen = parse_bearing_on_paper("1315")

    assert verdict(one, seen).cause == "mils"
    assert one.grade(seen).credit == 1.0  # the direction is right; only the unit is another


def test_a_reversed_target_is_named_for_a_followed_bearing():
    one = answer(
        kind="follow",
        true_deg=74.0,
        norths=OTAGO,
        given_deg=74.0,
        given_north="true",
        others=[("T2", 254.0), ("T3", 164.0), ("T4", 344.0)],
    )

    assert verdict(one, Chosen("T2")).cause == "reversed"


def test_a_small_declination_left_out_is_never_claimed():
    # Two degrees cannot be told from scatter in one reading.
    assert verdict(answer(true_deg=74.0, norths=Norths(2.0, 0.0)), Written(72.0)).cause == "ok"


def test_two_causes_of_one_number_are_both_reported():
    # D 8, C 1, T 074; from geometry, no outside source: counting back from 60 gives 062, and 066 is
    # left-out declination.
    found = verdict(answer(), Written(62.0))

    assert "counted_back" in {found.cause, *(code for code, _ in found.alternatives)}
    assert not found.is_sure


def test_probabilities_of_cause_and_alternatives_never_exceed_one():
    one = answer(true_deg=70.0, norths=OTAGO, others=[("T2", 122.0)])
    for number in range(360):
        found = verdict(one, Written(float(number)))
        assert found.probability + sum(p for _, p in found.alternatives) <= 1.0 + 1e-9
        assert all(found.probability >= p for _, p in found.alternatives)


def test_the_order_of_readings_changes_nothing():
    one = answer(true_deg=70.0, norths=OTAGO)
    readings = [Reading("Mia", "1", Written(float(number))) for number in (70, 250, 44, 70)]

    causes_found = [found.cause for found in diagnosis.diagnose((one,), readings).verdicts]

    assert (
        causes_found
        == [found.cause for found in diagnosis.diagnose((one,), readings[::-1]).verdicts][::-1]
    )


def test_a_class_without_readings_has_no_verdicts():
    assert diagnosis.diagnose((answer(),), []) == diagnosis.NOTHING


def test_sound_readings_of_a_simulated_class_are_rarely_accused():
    # 2,000 readings, seed 7, scatter 3 degrees, no mistake in any: fewer than one in fifty is
    # called one.
    rng, one = random.Random(7), answer(true_deg=200.0, norths=OTAGO)
    readings = [
        Reading(f"P{number // 10}", "1", Written(float(round(200 + rng.gauss(0, 3)))))
        for number in range(2000)
    ]

    accused = sum(found.cause != "ok" for found in diagnosis.diagnose((one,), readings).verdicts)

    assert accused / 2000 < 0.02


def test_a_combination_is_written_in_alphabetical_order():
    assert causes.combined(["reversed", "declination_ignored"]) == "declination_ignored+reversed"


def test_every_cause_says_what_happened_and_what_to_do():
    assert all(
        words.sentence and words.advice and words.note and words.name
        for words in map(WORDS.__getitem__, causes.CODES)
    )


def test_priors_of_habits_and_slips_leave_most_readings_sound():
    assert sum(cause.rate for cause in causes.REGISTER.values()) == pytest.approx(1.0, abs=0.02)


def test_grading_keeps_the_error_against_every_north():
    found = answer().grade(Written(66.0))

    assert {north: round(error) for north, error in found.errors_deg.items()} == {
        "magnetic": 0,
        "true": -8,
        "grid": -7,
    }
    assert (found.error_deg, found.credit) == (-8.0, 0.5)


def result(
    person="Mia", task="1", error=0.0, credit=1.0, cause="ok", probability=0.9, alternatives=()
):
    return Judged(
        Reading(person, task, Written(74.0), text="074"),
        answer(task=task),
        DirectionGrade(credit, 74.0, error, {}),
        Verdict(cause, probability, alternatives),
    )


def test_causes_are_counted_with_their_people_and_the_credit_they_cost():
    found = cohort.causes_by_credit_lost(
        [
            result(),
            result(cause="reversed", credit=0.0),
            result("Tom", "2", cause="mils+reversed", credit=0.0),
            result(cause="station_fault", credit=0.0),
        ]
    )

    assert [(one.code, one.readings, one.people, one.credit_lost, one.tasks) for one in found] == [
        ("reversed", 2, 2, 1.5, ("1", "2")),
        ("mils", 1, 1, 0.5, ("2",)),
    ]


def test_a_task_is_summed_up_by_its_sound_readings():
    judged = [
        result(error=-2.0),
        result(error=4.0),
        result(error=180.0, cause="reversed", credit=0.0),
    ]

    found, sound = cohort.task_summary("1", judged), cohort.sound_errors(judged)

    assert (found.readings, found.full, sound.number, round(sound.mean_deg, 6)) == (3, 2, 2, 1.0)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"band": Band(1, 2)}, "tolerance_tighter"),
        ({"survey_deg": 3.0}, "target_too_near"),
        ({"others": [("T2", 77.0)]}, "target_within_band"),
        ({"norths": Norths(2.0, 0.0), "north": "true"}, "declination_hides"),
        ({"true_deg": 27.0}, "mirror_hides"),
        ({"others": [("T2", 254.0)]}, "reversal_looks_alike"),
    ],
)
def test_the_course_check_finds_what_is_unfair(changes, code):
    found = course_check.findings(
        (answer(**{"norths": OTAGO, "true_deg": 74.0, "north": "magnetic", **changes}),)
    )

    assert code in [finding.code for finding in found]
    assert all(what_is(finding) and cure_of(finding) for finding in found)


def test_a_number_near_north_is_said_to_be_so_by_its_own_degrees():
    near = answer(norths=OTAGO, true_deg=27.0, north="magnetic")  # 27.0 - 25.6 = 1.4
    found = {finding.code: finding for finding in course_check.findings((near,))}

    assert found["mirror_hides"].values["from_axis_deg"] == pytest.approx(1.4)


def test_leaving_the_declination_out_is_no_finding_where_nothing_is_left_out():
    magnetic = answer(norths=Norths(2.0, 0.0), true_deg=74.0, north="magnetic")

    assert course_check.findings((magnetic,)) == []


def test_a_fair_task_has_no_findings():
    assert course_check.findings((answer(norths=OTAGO, true_deg=74.0, north="magnetic"),)) == []


def test_a_course_without_tasks_or_without_magnetic_is_said_to_be_so():
    assert [finding.code for finding in course_check.findings(())] == ["no_tasks"]
    assert [finding.code for finding in course_check.findings((answer(norths=OTAGO),))] == [
        "offset_hides"
    ]


def test_the_rehearsal_is_the_same_for_the_same_seed():
    def held(seed):
        rng = random.Random(seed)
        return [answer_text(answer(norths=OTAGO), participant("Mia", rng), rng) for _ in range(50)]

    assert held(3) == held(3)
    assert held(3) != held(4)


def test_a_rehearsed_habit_shows():
    someone = Participant("Mia", 0.01, "declination_ignored", 0.0)
    written = [
        answer_text(answer(norths=OTAGO, true_deg=200.0), someone, random.Random(seed))
        for seed in range(40)
    ]

    assert written.count("174") > 25  # 200 - 25.6, where no slip came on top
    assert all(Bearing().parse(answer(), text) for text in written if len(text) == 3)


def class_of_twelve(
    bias_at=None, habit_of=None, offset_of=None, north=lambda number: "true", norths=OTAGO, seed=11
):
    """A course of eight lines from four stations, read by twelve people with 2.5 degrees of
    scatter; seed 11 unless given.
    """
    rng = random.Random(seed)
    answers = tuple(
        dataclasses.replace(
            answer(
                task=str(number), true_deg=20.0 + 43.0 * number, norths=norths, north=north(number)
            ),
            station="ABCD"[number % 4],
        )
        for number in range(8)
    )
    readings = []
    for place in range(12):
        for one in answers:
            shift = (
                (bias_at or {}).get(one.station, 0.0)
                + (offset_of or {}).get(place, 0.0)
                + rng.gauss(0, 2.5)
            )
            if (habit_of or {}).get(place) == "declination_ignored" and one.north != "magnetic":
                shift -= norths.declination_deg
            readings.append(
                Reading(
                    f"P{place}",
                    one.task,
                    Written(float(round(one.expected_deg + shift) % 360)),
                    str(place),
                )
            )
    return answers, readings


def test_a_habit_is_seen_in_all_of_a_persons_readings():
    found = diagnosis.diagnose(
        *class_of_twelve(
            habit_of={3: "declination_ignored"},
            norths=Norths(8.0, 0.0),
            north=lambda number: ("true", "magnetic")[number // 5],
        )
    )

    assert {name for name, person in found.people.items() if person.habit != "none"} == {"P3"}
    assert found.people["P3"].habit == "declination_ignored"
    assert found.people["P3"].habit_probability > 0.95


def test_a_stations_fault_is_the_stations_and_nobody_is_accused():
    answers, readings = class_of_twelve(bias_at={"C": 11.0})
    found = diagnosis.diagnose(answers, readings)

    assert {code for code, bias in found.stations.items() if bias.fault_probability > 0.5} == {"C"}
    assert found.stations["C"].degrees == pytest.approx(11.0, abs=1.5)
    at = {one.task: one.station for one in answers}
    assert {
        verdict.cause
        for verdict, reading in zip(found.verdicts, readings, strict=True)
        if at[reading.task] == "C"
    } == {"station_fault"}
    assert [
        verdict.cause
        for verdict, reading in zip(found.verdicts, readings, strict=True)
        if at[reading.task] != "C"
    ].count("ok") >= 69


def test_an_offset_is_the_persons_where_magnetic_is_asked_too():
    found = diagnosis.diagnose(
        *class_of_twelve(offset_of={5: 8.0}, north=lambda number: ("true", "magnetic")[number // 4])
    )

    assert found.people["P5"].offset_deg == pytest.approx(8.0, abs=2.0)
    assert (
        max(abs(person.offset_deg) for name, person in found.people.items() if name != "P5") < 2.5
    )


def test_a_habit_of_the_whole_class_is_not_blamed_on_every_station():
    found = diagnosis.diagnose(
        *class_of_twelve(
            habit_of=dict.fromkeys(range(12), "declination_ignored"),
            north=lambda number: ("true", "magnetic")[number // 4],
            norths=Norths(12.0, 0.0),
        )
    )

    assert all(bias.fault_probability < 0.5 for bias in found.stations.values())
    assert {person.habit for person in found.people.values()} == {"declination_ignored"}


def test_a_declination_of_one_degree_is_never_said_to_be_left_out():
    found = diagnosis.diagnose(
        *class_of_twelve(habit_of={2: "declination_ignored"}, norths=Norths(1.0, 0.0))
    )

    assert {person.habit for person in found.people.values()} == {"none"}


def test_one_persons_odd_readings_never_put_a_station_at_fault():
    answers, readings = class_of_twelve()
    odd = [
        dataclasses.replace(reading, seen=Written((reading.seen.degrees + 14.0) % 360))
        for reading in readings[:8]
    ]

    found = diagnosis.diagnose(answers, odd)

    assert all(bias.fault_probability < 0.5 for bias in found.stations.values())


def test_an_empty_compass_and_a_shared_one_do_as_well():
    answers, readings = class_of_twelve(
        offset_of={0: 9.0, 1: 9.0, 2: 9.0}, north=lambda number: ("true", "magnetic")[number // 4]
    )
    shared = [
        dataclasses.replace(reading, compass="7" if reading.person in ("P0", "P1", "P2") else "")
        for reading in readings
    ]

    found = diagnosis.diagnose(answers, shared)

    assert [round(found.people[name].offset_deg / 3) for name in ("P0", "P1", "P2", "P3")] == [
        3,
        3,
        3,
        0,
    ]


def test_a_place_where_bearings_are_only_reckoned_has_no_bias():
    one = answer(kind="convert", true_deg=108.0, given_deg=100.0, given_north="magnetic")

    found = diagnosis.diagnose((one,), [Reading(name, "1", Written(108.0)) for name in "abcd"])

    assert found.stations == {}
    assert {verdict.cause for verdict in found.verdicts} == {"ok"}


@pytest.mark.parametrize(
    ("kind", "given", "written", "cause"),
    [
        ("back", 250.0, 250.0, "reversed"),
        ("back", 250.0, 110.0, "mirrored"),
        ("back", 250.0, 80.0, "ten_off"),
        ("back", 250.0, 70.0, "ok"),
        ("map", None, 254.0, "reversed"),
        ("map", None, 162.0, "quarter_turn"),
        ("map", None, 75.0, "ok"),
    ],
)
def test_a_mistake_of_reckoning_or_measuring_is_told_from_one_reading(kind, given, written, cause):
    one = answer(
        kind=kind,
        true_deg=70.0 if kind == "back" else 74.0,
        given_deg=given,
        given_north="true" if given else "",
    )

    found = diagnosis.diagnose((one,), [Reading("a", "1", Written(written))])

    assert (found.verdicts[0].cause, found.verdicts[0].is_sure, found.stations) == (cause, True, {})


def test_who_boxes_the_needle_the_wrong_way_is_not_expected_to_turn_bearings_round_wrongly():
    sights = [
        answer(str(number), true_deg=30.0 + 40 * number, north="magnetic") for number in range(1, 5)
    ]
    turned = answer("9", kind="back", true_deg=70.0, given_deg=250.0, given_north="true")
    readings = [Reading("a", one.task, Written((one.expected_deg + 180) % 360)) for one in sights]

    found = diagnosis.diagnose((*sights, turned), [*readings, Reading("a", "9", Written(70.0))])

    assert (found.people["a"].habit, found.verdicts[-1].cause) == ("reversed", "ok")

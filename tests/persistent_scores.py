"""The scores of the benchmark for what lasts: people's habits and offsets, faults of the ground,
compasses that go from hand to hand.
"""

import math
from collections import defaultdict

from exercises.domain.diagnosis.ascent import LEAST_PEOPLE
from exercises.domain.diagnosis.biases import FAULT_DEG
from exercises.domain.planning.visibility import PROVABLE
from exercises.domain.tasks.kinds import kind_of
from tests.scoring import mean, naive_compasses, naive_people, naive_stations

LEAST_NEEDLES = 5  # readings from which an offset of a person, or a reversed compass, is judged
NEAR_DEG = 1.0  # of FAULT_DEG: who is as close to it is not judged


class Uses:
    """Who read a needle with which compass: `numbers` by person, and by number, `readers`, the
    person of each reading. What was copied does not count.
    """

    def __init__(self, held):
        by_task = {answer.task: answer for answer in held.answers}
        self.numbers, self.readers = defaultdict(list), defaultdict(list)
        for reading, is_copied in zip(held.readings, held.copied, strict=True):
            if kind_of(by_task[reading.task].kind).reads_needle and not is_copied:
                self.numbers[reading.person].append(reading.compass)
                self.readers[reading.compass].append(reading.person)

    def is_only_reader(self, name):
        """Whether nobody else read with what a person read with."""
        return all(set(self.readers[number]) == {name} for number in self.numbers[name])

    def kept(self, name):
        """Whether a person had one compass all the time."""
        return len(set(self.numbers[name])) == 1


def own_offset(name, person, found, uses):
    """(true, found) offset of a person, degrees: their own, or where nobody else had what they had
    in hand, that and their compass's, which cannot be told apart.
    """
    said = found.people[name]
    if uses.kept(name) and uses.is_only_reader(name):
        return person.offset_deg, said.offset_deg
    compasses_deg = mean(
        found.compasses[number].offset.degrees if number in found.compasses else 0.0
        for number in uses.numbers[name]
    )
    return person.own_deg, getattr(said, "own_deg", said.offset_deg - compasses_deg)


def judge_people(held, provable, found, simple, scores):
    """Habits; offsets of people who kept one compass, with it; everybody's own offset."""
    simple_people, uses = naive_people(held, simple), Uses(held)
    for name, habit in provable.habits.items():
        scores["model"].habits.append((habit, found.people[name].habit))
        scores["naive"].habits.append((habit, simple_people[name][0]))
    for name, needles in provable.needles.items():
        person, said = held.people[name], found.people[name]
        if needles < LEAST_NEEDLES:
            continue
        true_deg, said_deg = own_offset(name, person, found, uses)
        scores["model"].own_errors.append(said_deg - true_deg)
        scores["naive"].own_errors.append(simple_people[name][1] - true_deg)
        if name not in provable.tells or not uses.kept(name):
            continue
        for way, offset_deg, is_off in (
            ("model", said.offset_deg, said.offset_probability > 0.5),
            ("naive", simple_people[name][1], abs(simple_people[name][1]) > FAULT_DEG),
        ):
            scores[way].offset_errors.append(offset_deg - person.offset_deg)
            if provable.offset(name, person.offset_deg):
                scores[way].offsets.append((abs(person.offset_deg) > FAULT_DEG, is_off))


def judge_ground(held, provable, found, simple, scores):
    """Faults of stations, and how well the size of those that are there is known."""
    simple_stations = naive_stations(held, simple)
    for station, bias in held.stations.items():
        is_bad = abs(bias.bias_deg) > FAULT_DEG
        lines = [
            abs(held.lines[answer.task]) > FAULT_DEG
            for answer in held.answers
            if answer.station == station and kind_of(answer.kind).reads_needle
        ]
        if all(lines):
            continue  # one line alone: its fault cannot be told from the station's
        if len(provable.people_at[station]) >= LEAST_PEOPLE and (
            not is_bad or provable.ground(station, bias.bias_deg)
        ):
            said = found.stations[station]
            scores["model"].stations.append((is_bad, said.fault_probability > 0.5))
            scores["naive"].stations.append((is_bad, simple_stations.get(station, False)))
            if is_bad:
                scores["model"].bias_errors.append(said.degrees - bias.bias_deg)


def judge_passed(held, provable, found, simple, scores):
    """Compasses that at least two people read with, in classes that hand them on."""
    if not held.setting.passed_every:
        return
    simple_compasses = naive_compasses(held, simple)
    for number, readers in Uses(held).readers.items():
        if len(set(readers)) < 2:
            continue
        compass, said = held.compasses[number], found.compasses.get(number)
        is_off, is_turned = (
            (said.offset.fault_probability > 0.5, said.reversed_probability > 0.5)
            if said
            else (False, False)
        )
        simple_off, simple_turned = simple_compasses[number]
        for way, off, turned in (
            ("model", is_off, is_turned),
            ("naive", simple_off, simple_turned),
        ):
            if is_provable(compass, [provable.spread_of(name) for name in readers]):
                scores[way].compass_offsets.append((abs(compass.offset_deg) > FAULT_DEG, off))
            if len(readers) >= LEAST_NEEDLES:
                scores[way].compass_reversals.append((compass.is_reversed, turned))


def is_provable(compass, spreads_deg):
    """Whether it can be said if a compass is off, by the spreads of its readings' readers. That a
    sound one is sound needs no proof.
    """
    size = abs(compass.offset_deg)
    shown = size * math.sqrt(len(spreads_deg)) / mean(spreads_deg) >= PROVABLE
    return abs(size - FAULT_DEG) > NEAR_DEG and (size < FAULT_DEG or shown)

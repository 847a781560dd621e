"""Who goes where when in a simulated class, with which compass, and what goes from one to the next:
compasses, answers, a person's run of reversed readings.

Rates: common practice, no source, unless said.
"""

from collections import Counter

from exercises.domain.tasks.kinds import kind_of

RUN_READINGS = (3, 8)  # least, and below what: reversed readings of a person in a row


def visits(people, answers, rng):
    """(minute, name, answer) in the order of time: everybody goes round from a start of their own;
    a few leave a task out.
    """
    found = []
    for name in people:
        minute, start = rng.uniform(0, 3), int(rng.integers(len(answers)))
        for answer in answers[start:] + answers[:start]:
            minute += rng.gamma(
                4, 1.0
            )  # three to five minutes a station: common practice, no source
            if rng.random() < 0.97:
                found.append((float(minute), name, answer))
    return sorted(found, key=lambda visit: visit[:2])


class Turns:
    """What a class has come to by now. Nothing is drawn of what its setting leaves at nought."""

    def __init__(self, held):
        self.held, self.setting = held, held.setting
        self.made, self.still_reversed = Counter(), Counter()

    def next_of(self, name):
        """A person before their next reading, with the compass in hand by then: they go round by
        their numbers.
        """
        person, every = self.held.people[name], self.setting.passed_every
        if not every:
            return person
        numbers = list(self.held.compasses)
        place = numbers.index(person.compass) + self.made[name] // every
        self.made[name] += 1
        number = numbers[place % len(numbers)]
        return person.holding(number, self.held.compasses[number])

    def copied_from(self, person, answer, rng):
        """The place of the reading that a person writes off: the task's last or next-to-last; None
        where they read for themselves.
        """
        if not person.copied_share or rng.random() >= person.copied_share:
            return None
        before = [
            place for place, reading in enumerate(self.held.readings) if reading.task == answer.task
        ][-2:]
        return before[rng.integers(len(before))] if before else None

    def more(self, name, answer, rng):
        """The faults of a reading that are no slips of its own."""
        found = []
        if self.setting.reversed_run_rate and kind_of(answer.kind).reads_needle:
            least, below = RUN_READINGS
            begins = self.setting.reversed_run_rate / ((least + below - 1) / 2)
            if not self.still_reversed[name] and rng.random() < begins:
                self.still_reversed[name] = int(rng.integers(least, below))
            if self.still_reversed[name]:
                self.still_reversed[name] -= 1
                found.append("reversed")
        if (
            self.setting.mils_figure_rate
            and answer.kind == "sight"
            and rng.random() < self.setting.mils_figure_rate
        ):
            found.append("mils_figure")
        return found

"""When a participant learns what a reading was worth: the policy of a class, or of one task, and
what a phone may be told by now.

A hint first makes people look again; an answer first ends the thinking. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from .answer import Answer

AT_ONCE, SECOND_TRY, RELEASED = "at_once", "second_try", "released"
POLICIES = (AT_ONCE, SECOND_TRY, RELEASED)
NOTHING, HINT, ANSWER = "nothing", "hint", "answer"


def policy_of(answer: Answer, of_class: str) -> str:
    """The policy for an answer: its task's own, else the class's."""
    return answer.feedback or of_class


def first_counts(policy: str) -> bool:
    """Whether the first attempt is the one that counts: it does wherever a later one knows more."""
    return policy != RELEASED


def shown(policy: str, attempts: int, credit: float, is_released: bool) -> str:
    """What may be shown after some attempts, the last of which earned `credit`: NOTHING, HINT or
    ANSWER.

    Full credit at the first try needs no second.

    >>> shown(SECOND_TRY, 1, 0.0, False), shown(SECOND_TRY, 2, 0.0, False)
    ('hint', 'answer')
    >>> shown(RELEASED, 2, 1.0, False)
    'nothing'
    """
    if is_released or policy == AT_ONCE:
        return ANSWER
    if policy == RELEASED:
        return NOTHING
    return ANSWER if attempts > 1 or credit == 1.0 else HINT


@dataclass(frozen=True)
class ClassState:
    """What decides what is told in a class: its policy, and how far it is."""

    policy: str
    is_draft: bool = False
    is_open: bool = True
    is_released: bool = False


@dataclass(frozen=True)
class Given:
    """What a person has given to a task so far: how many attempts, and what the last is worth."""

    person: str
    task: str
    attempts: int
    credit: float


def told_by_task(answer: Answer, state: ClassState, attempts: int, credit: float) -> str:
    """What a task by itself lets somebody know: NOTHING, HINT or ANSWER."""
    if state.is_draft:
        return NOTHING
    return shown(policy_of(answer, state.policy), attempts, credit, state.is_released)


def may_tell(answer: Answer, state: ClassState) -> bool:
    """Whether a task lets anybody know anything by now, whatever they gave."""
    return not state.is_draft and (state.is_released or policy_of(answer, state.policy) != RELEASED)


def told_on_phone(
    given: Sequence[Given],
    answers: Sequence[Answer],
    state: ClassState,
    people: Collection[str],
) -> dict[tuple[str, str], str]:
    """What the people who share a phone may be told: HINT or ANSWER by (person, task), nothing of
    the rest.

    While a class is open and not released, people who share a phone see hints of a task when each
    of them has given an answer, and answers when none of them may try again.
    """
    phone = _Phone(given, answers, state, people)
    return {
        (entry.person, entry.task): phone.told(entry)
        for entry in given
        if phone.told(entry) != NOTHING and not phone.must_wait(entry)
    }


class _Phone:
    """The people of a phone, with what they have given and what each task lets them know."""

    def __init__(
        self,
        given: Sequence[Given],
        answers: Sequence[Answer],
        state: ClassState,
        people: Collection[str],
    ) -> None:
        self.state, self.people = state, frozenset(people)
        self.answer_of = {answer.task: answer for answer in answers}
        self.field_half_of = {answer.after: answer.task for answer in answers if answer.after}
        self.givers: dict[str, set[str]] = {}
        self.by_task: Mapping[tuple[str, str], str] = {
            (entry.person, entry.task): told_by_task(
                self.answer_of[entry.task], state, entry.attempts, entry.credit
            )
            for entry in given
        }
        for entry in given:
            self.givers.setdefault(entry.task, set()).add(entry.person)

    def told(self, entry: Given) -> str:
        """What the task by itself lets the person know."""
        return self.by_task[entry.person, entry.task]

    def must_wait(self, entry: Given) -> bool:
        """Whether it has to wait for others on this phone, or for the other half of a bearing off
        the map.
        """
        if self.state.is_released:
            return False
        return (self.state.is_open and self._waits_for_people(entry)) or self._gives_half_away(
            entry
        )

    def _waits_for_people(self, entry: Given) -> bool:
        """Whether somebody on this phone still has to answer without knowing what it tells."""
        if self.told(entry) == ANSWER:
            return not self._are_all_through(entry.task)
        return not self._have_all_given(entry.task)

    def _have_all_given(self, task: str) -> bool:
        """Whether everybody on this phone has answered a task."""
        return self.givers.get(task, set()) >= self.people

    def _are_all_through(self, task: str) -> bool:
        """Whether everybody on this phone has answered a task, and nobody may try it again."""
        return self._have_all_given(task) and all(
            self.by_task[person, task] != HINT for person in self.people
        )

    def _gives_half_away(self, entry: Given) -> bool:
        """Whether telling a half of a bearing off the map would give away the other one.

        The map half's answer waits while the class is open until everybody here has faced it, and
        nobody may try that again: a person goes on with their own number. The field half waits
        until everybody here is through with the map half, and its person may see that.
        """
        field_half = self.field_half_of.get(entry.task)
        if field_half and self.told(entry) == ANSWER and self.state.is_open:
            return not self._are_all_through(field_half)
        map_half = self.answer_of[entry.task].after
        if map_half in self.field_half_of:
            may_see_map_half = self.by_task.get((entry.person, map_half)) == ANSWER
            return not (may_see_map_half and self._are_all_through(map_half))
        return False


def may_see_sheets(answers: Sequence[Answer], state: ClassState, *, is_closed: bool) -> bool:
    """Whether participants may see their whole sheet: once it is released, or when a class is over
    in which every task told its answer at once.
    """
    told_all = all(policy_of(answer, state.policy) == AT_ONCE for answer in answers)
    return state.is_released or (told_all and is_closed)

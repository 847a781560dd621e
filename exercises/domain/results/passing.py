"""Whether somebody passed a course by a rule, and what is missing.

The rule is a share of the credit that could be had: 80 % of it is common practice (course pass
marks of mountaineering clubs, officials' examinations and scout troops). A task without an answer
earned nothing. A task whose reading the ground or a compass spoilt is nobody's fault and does not
count, neither what it earned nor what it could have.

All is reckoned in halves of a credit and in whole percent, as integers: nothing is rounded that
could say "80 %" of somebody who has 79.9.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

USUAL_SHARE = 80  # percent; common practice
LEAST_SHARE, MOST_SHARE = 50, 100  # percent


@dataclass(frozen=True)
class PassingRule:
    """At least `share` percent of the credit that can be had, LEAST_SHARE to MOST_SHARE.

    Raises ValueError for another share.
    """

    share: int = USUAL_SHARE

    def __post_init__(self) -> None:
        """Refuse a share that is no rule."""
        if not LEAST_SHARE <= self.share <= MOST_SHARE:
            raise ValueError(self.share)


@dataclass(frozen=True)
class Passing:
    """What a rule says of a person: `credit` of `possible`, both in tasks; `needed` is the least
    credit that passes, a multiple of one half. `failed` are the tasks that earned less than they
    could, those without an answer among them, `left_out` those that nobody is to blame for, both in
    the course's order.
    """

    rule: PassingRule
    credit: float
    possible: int
    needed: float
    failed: tuple[str, ...]
    unanswered: tuple[str, ...]
    left_out: tuple[str, ...]

    @property
    def passed(self) -> bool:
        """Whether the credit is enough."""
        return self.credit >= self.needed

    @property
    def missing(self) -> float:
        """How much credit is missing, 0 of who passed."""
        return max(0.0, self.needed - self.credit)

    @property
    def percent(self) -> int:
        """The credit in whole percent of what could be had, rounded down: at or above the rule's
        share exactly where it was passed.
        """
        return int(2 * self.credit) * 100 // (2 * self.possible)


def passing(
    rule: PassingRule,
    tasks: Sequence[str],
    credits: Mapping[str, float],
    spoilt: Collection[str] = (),
) -> Passing | None:
    """What a rule says of somebody, or None where no task counts.

    `tasks` are the labels of the tasks that count, in order; `credits` holds 1, 0.5 or 0 by task of
    what was answered, `spoilt` the tasks whose answer the ground or a compass spoilt.

    >>> found = passing(PassingRule(80), ["1", "2", "3", "4"], {"1": 1.0, "2": 1.0, "3": 0.5})
    >>> found.passed, found.percent, found.needed, found.missing, found.failed
    (False, 62, 3.5, 1.0, ('3', '4'))
    """
    counted = [task for task in tasks if task not in spoilt]
    if not counted:
        return None
    halves = sum(round(2 * credits.get(task, 0.0)) for task in counted)
    possible = len(counted)
    needed_halves = -(-2 * possible * rule.share // 100)  # rounded up
    return Passing(
        rule,
        halves / 2,
        possible,
        needed_halves / 2,
        failed=tuple(task for task in counted if credits.get(task, 0.0) < 1.0),
        unanswered=tuple(task for task in counted if task not in credits),
        left_out=tuple(task for task in tasks if task in spoilt),
    )

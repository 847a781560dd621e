"""When a participant learns what a reading was worth: the policy of a class, or of one task, and
what it shows by now.

A hint first makes people look again; an answer first ends the thinking. Common practice, no source.
"""

from ..words import say

AT_ONCE, SECOND_TRY, RELEASED = "at_once", "second_try", "released"
POLICIES = {
    AT_ONCE: say("at once, after each reading"),
    SECOND_TRY: say("after a second try, with a hint before it"),
    RELEASED: say("at the debrief, when I release it"),
}
NOTHING, HINT, ANSWER = "nothing", "hint", "answer"


def policy_of(answer, of_class):
    """The policy for an answer: its task's own, else the class's."""
    return answer.feedback or of_class


def first_counts(policy):
    """Whether the first attempt is the one that counts: it does wherever a later one knows more."""
    return policy != RELEASED


def shown(policy, attempts, credit, is_released):
    """What may be shown after some attempts, the last of which earned `credit`: NOTHING, HINT or
    ANSWER.

    Full credit at the first try needs no second.

    >>> shown(SECOND_TRY, 1, 0.0, False), shown(SECOND_TRY, 2, 0.0, False), shown(RELEASED, 2, 1.0, False)
    ('hint', 'answer', 'nothing')
    """
    if is_released or policy == AT_ONCE:
        return ANSWER
    if policy == RELEASED:
        return NOTHING
    return ANSWER if attempts > 1 or credit == 1.0 else HINT

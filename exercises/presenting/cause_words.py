"""The words of one cause, in every setting.

A participant hears words that a child knows, and the trade's word once beside them: needles and
dials differ, so their parts are named by what they are for and not by a colour.
"""

from dataclasses import dataclass
from types import MappingProxyType

from ..domain.words import Words, say

UNSAID = say("")
NOTHING = MappingProxyType({})  # said otherwise


@dataclass(frozen=True)
class CauseWords:
    """A cause in words: a short name, a sentence for the participant, what to do about it, and a
    note for the instructor.

    `aside` is how it is mentioned beside a mistake of the person; `hint` a question that gives no
    number away. Where the answer is reckoned, or measured on a map, some of it is said otherwise.
    """

    name: Words
    sentence: Words
    advice: Words
    note: Words
    hint: Words
    aside: Words = UNSAID
    sum_advice: Words = UNSAID
    sum_hint: Words = UNSAID
    map_sentence: Words = UNSAID
    map_advice: Words = UNSAID
    map_hint: Words = UNSAID

    def said(self, what, setting, otherwise=NOTHING):
        """Its sentence, advice or hint ("sentence", "advice", "hint") in a setting: in the field
        where nothing else is said for it. `otherwise` are its words that a unit has of its own.
        """
        names = (f"{setting}_{what}", what)
        said = (otherwise.get(name) or getattr(self, name, UNSAID) for name in names)
        return next(filter(None, said), UNSAID)

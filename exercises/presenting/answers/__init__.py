"""How answers are said and drawn: one object of words for each kind of task, by what its answer is.

`words_of(answer)` finds it; nothing else asks which kind or form an answer has.
"""

from .kinds import WORDS, AnswerWords


def words_of(answer) -> AnswerWords:
    """The words of an answer's kind."""
    return WORDS[answer.kind]

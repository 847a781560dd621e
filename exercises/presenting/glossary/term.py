"""What a word of the trade is, told to whoever meets it."""

from collections.abc import Callable
from dataclasses import dataclass

from ...domain.words import Words, say

# Where a meaning was taken from. Names of publications are the same in every language.
PRACTICE = say("common practice, no source")
ARMY = say("US Army FM 3-25.26")
NAVY = say("US Navy NAVEDTRA 14069")
GUM = say("JCGM 100:2008")
ADJUSTMENT = say("Mikhail and Ackermann, Observations and Least Squares (1976)")
GRIDS = say("DMA TM 8358.2, The Universal Grids (1989)")
WMM = say("World Magnetic Model 2025, technical report")
HERE = say("what navclass does")


@dataclass(frozen=True)
class Term:
    """A word: its code, which is its place on the page of words; what it is called, one plain
    sentence, where that was taken from, a drawing or None, and the codes of related words.
    `is_part` says that the drawing is the whole compass with the letter of this part.
    """

    code: str
    name: Words
    sentence: Words
    source: Words
    drawing: Callable[[], str] | None = None
    related: tuple[str, ...] = ()
    is_part: bool = False


def by_code(*terms):
    """Terms by their codes, in their order."""
    return {term.code: term for term in terms}

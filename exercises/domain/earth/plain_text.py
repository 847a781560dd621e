"""One way of writing for what keyboards, maps and telephones write in many."""

from __future__ import annotations

import re
import unicodedata

# Before anything is normalized: Unicode's compatibility makes the letter o of º and the figure 0
# of ⁰, and so a west and a tenfold of a degree.
DEGREE_SIGNS = str.maketrans(dict.fromkeys("ºª˚∘⁰ᵒ", "°"))
LOOK_ALIKES = str.maketrans(
    {
        **dict.fromkeys("′’‘ʹʼ´`＇", "'"),
        **dict.fromkeys("″”“ʺ˝¨＂", '"'),
        **dict.fromkeys("−–—‐‑‒﹣－", "-"),
        # marks of writing direction, and joints of no width: copied along, never seen
        **dict.fromkeys("\u00ad\u200b\u200c\u200d\u200e\u200f\u202a\u202c\u2060\ufeff"),
    }
)
# Marks that combine with the letter before them are put in order by sorting, which takes long for a
# long run; no writing has as many. Source: Unicode Standard Annex 15, "Stream-Safe Text Format".
MOST_MARKS = 30
WIDTHS = ("<wide>", "<narrow>", "<noBreak>")  # the same character, wider or narrower


def few_marks(text: str) -> str:
    """A text without the combining marks that follow thirty others: what may be normalized in a
    time that grows with its length.
    """
    if text.isascii():
        return text
    kept, run = [], 0
    for character in text:
        run = run + 1 if unicodedata.combining(character) else 0
        if run <= MOST_MARKS:
            kept.append(character)
    return "".join(kept)


def narrow(text: str) -> str:
    """A text with ASCII figures, one degree sign, and no character wider or narrower than usual.
    What only looks like a figure (½, ², ①) stays what it is, to be refused by who reads.

    >>> narrow("２.1686º")
    '2.1686°'
    """
    usual = "".join(map(_usual, text.translate(DEGREE_SIGNS)))
    return unicodedata.normalize("NFC", few_marks(usual))


def plain(text: str) -> str:
    """The same with one minus, one kind of quotes, and single spaces: for what holds no words.

    >>> print(plain("−45° 07′  48.7″"))
    -45° 07' 48.7"
    """
    text = narrow(text.translate(LOOK_ALIKES)).replace("''", '"')
    return re.sub(r"\s+", " ", text).strip()


def _usual(character: str) -> str:
    """A figure of any script as ASCII, and a wide or narrow character as the usual one."""
    if character.isascii():
        return character
    if (figure := unicodedata.decimal(character, None)) is not None:
        return str(figure)
    if unicodedata.decomposition(character).startswith(WIDTHS):
        return unicodedata.normalize("NFKC", character)
    return character

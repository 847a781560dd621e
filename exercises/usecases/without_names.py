"""Names out of texts that people typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

NOBODY = "—"


def parts(names: Iterable[str]) -> Iterator[str]:
    """The names, and the words that they are made of where these are long enough to be a name."""
    for name in names:
        yield name
        yield from (word for word in re.split(r"[\s\-]+", name) if len(word) > 2)


def without_names(text: str, names: Iterable[str]) -> str:
    """A text in which each name, as a whole word, is a dash.

    >>> without_names("Ask Mia about her inhaler; miami", ["Mia"])
    'Ask — about her inhaler; miami'
    """
    words = sorted(set(parts(names)), key=lambda word: (-len(word), word))
    if not words:
        return text
    found = "|".join(map(re.escape, words))
    return re.sub(rf"(?<!\w)(?:{found})(?!\w)", NOBODY, text, flags=re.IGNORECASE)

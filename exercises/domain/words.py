"""Sentences for people, in English, which remember how they were made so that the screens can say
them in another language.

The domain speaks English and knows no catalogue: `exercises/languages.py` says a `Words` in the
language of the reader.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any


class Words(str):
    """An English sentence with the pattern and the values that it was made of.

    `many` and `number` are set where the pattern has a plural. Values may be `Words` themselves;
    numbers are formatted by the pattern (`{degrees:.1f}`), so that a decimal mark can follow the
    reader's language.
    """

    pattern: str
    values: Mapping[str, Any]
    many: str
    number: int | None

    def __new__(
        cls, pattern: str, values: Mapping[str, Any], many: str = "", number: int | None = None
    ) -> Words:
        made = super().__new__(cls, (pattern if number in (None, 1) else many).format(**values))
        made.pattern, made.values, made.many, made.number = pattern, values, many, number
        return made

    def __reduce__(self) -> tuple[type[Words], tuple[Any, ...]]:
        """Made anew of its four parts when it is copied or pickled, not of its text alone."""
        return Words, (self.pattern, self.values, self.many, self.number)


def say(pattern: str, /, **values: Any) -> Words:
    """A sentence. The pattern is written out where `say` is called, so that the catalogue finds it.

    >>> say("{degrees:.1f}° off", degrees=2)
    '2.0° off'
    """
    return Words(pattern, values)


def say_many(one: str, many: str, number: int, /, **values: Any) -> Words:
    """A sentence about some number of things, which is `{number}` in the patterns.

    >>> say_many("{number} reading", "{number} readings", 3)
    '3 readings'
    """
    return Words(one, {"number": number, **values}, many, number)


def together(parts: Iterable[str], between: str = " ") -> Words:
    """Several sentences as one.

    >>> together([say("Red end."), say("White end.")])
    'Red end. White end.'
    """
    named = {f"part{place}": part for place, part in enumerate(parts)}
    return Words(between.join(f"{{{name}}}" for name in named), named)

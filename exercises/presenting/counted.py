"""The order in which one looks for codes and numbers: T2 before T10."""

import re


def as_counted(code):
    """A key to sort codes by.

    >>> sorted(["T10", "B", "T2", "T"], key=as_counted)
    ['B', 'T', 'T2', 'T10']
    """
    parts = re.split(r"([0-9]+)", code)
    return [int(part) if place % 2 else part for place, part in enumerate(parts)]

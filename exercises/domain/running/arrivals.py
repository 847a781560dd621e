"""What is worth a look in how people joined a class: facts, which an instructor may weigh.

None of them is a fault. Who shares a phone was added by it, who comes late has joined late, and a
phone with its own connection comes from an address of its own. Common practice, no source.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

COMMON_SHARE, COMMON_LEAST = 0.5, 3  # of those who joined, behind an address that is the class's


@dataclass(frozen=True)
class Arrival:
    """Somebody of a class: when they joined (None of who has not), the phone and the address that
    they came by (any text that tells one from another; empty where it is not known), whether their
    name stood on the roster, and whether they were taken out since.
    """

    person: str
    joined_at: datetime.datetime | None
    phone: str = ""
    address: str = ""
    was_listed: bool = False
    is_gone: bool = False


@dataclass(frozen=True)
class Signs:
    """What is worth a look: their name stood on no roster, though the class has one; they joined
    after the first reading had come in; nobody else came by their address, while most share one;
    and how many people their phone brought, those among them who were taken out.
    """

    is_unlisted: bool = False
    is_late: bool = False
    is_apart: bool = False
    brought: int = 1
    brought_gone: int = 0


def signs(
    arrivals: Iterable[Arrival], first_reading_at: datetime.datetime | None
) -> dict[str, Signs]:
    """The signs of everybody who joined and is still there, by person.

    >>> noon = datetime.datetime(2026, 10, 3, 12)
    >>> signs([Arrival("1", noon, was_listed=True), Arrival("2", noon)], None)["2"].is_unlisted
    True
    """
    everybody = list(arrivals)
    joined = [one for one in everybody if one.joined_at]
    has_roster = any(one.was_listed for one in everybody)
    common = _common_address(joined)
    by_address = Counter(one.address for one in joined)
    by_phone = Counter(one.phone for one in joined if one.phone)
    gone = Counter(one.phone for one in joined if one.phone and one.is_gone)
    return {
        one.person: Signs(
            is_unlisted=has_roster and not one.was_listed,
            is_late=bool(first_reading_at and one.joined_at and one.joined_at > first_reading_at),
            is_apart=bool(common and one.address and by_address[one.address] == 1),
            brought=by_phone[one.phone] or 1,
            brought_gone=gone[one.phone],
        )
        for one in joined
        if not one.is_gone
    }


def _common_address(joined: list[Arrival]) -> str:
    """The address behind which most of a class sits; empty where there is none."""
    known = Counter(one.address for one in joined if one.address)
    if not known:
        return ""
    address, number = known.most_common(1)[0]
    is_common = number >= COMMON_LEAST and number >= COMMON_SHARE * len(joined)
    return address if is_common else ""

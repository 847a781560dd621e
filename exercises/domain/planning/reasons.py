"""Why a line was picked, and what speaks against it: codes with their numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..earth.angles import difference
from ..mistakes.causes import REGISTER
from ..tasks.answer import Answer
from .findings import OF_THE_PLACE, Finding
from .measures import copied_apart_deg
from .weighing import Candidate, Weighing


def why(candidate: Candidate, chosen: Sequence[Candidate]) -> Iterator[Finding]:
    """What a line does for a course of chosen ones, itself among them."""
    rest = [other for other in chosen if other is not candidate]
    if rest:
        here = candidate.answer.expected_deg
        nearest = min(abs(difference(here, other.answer.expected_deg)) for other in rest)
        yield Finding("nearest_answer", values={"apart_deg": nearest})
    yield Finding("chance", values={"chance": candidate.chance})
    elsewhere = frozenset().union(*(other.shows for other in rest))
    if alone := tuple(cause for cause in REGISTER if cause in candidate.shows - elsewhere):
        yield Finding("shows_alone", values={"causes": alone})
    else:
        yield Finding("shows", values={"number": len(candidate.shows)})
    yield Finding("length", values={"distance_m": candidate.answer.distance_m})


def against(candidate: Candidate, chosen: Sequence[Candidate], weighing: Weighing) -> list[Finding]:
    """What the check finds about a line beside the chosen ones, the worst first. What the way to
    its station crosses is known once the order is.
    """
    copied = [other for other in chosen if weighing.copied_deg(candidate, other) is not None]
    found = [
        *(one for one in candidate.findings if one.code != "walk_crosses"),
        *copied_here(candidate.answer, [other.answer for other in copied]),
    ]
    return sorted(found, key=lambda finding: -finding.severity)


def copied_here(answer: Answer, others: Sequence[Answer]) -> Iterator[Finding]:
    """The answers from which one may be copied."""
    for other in others:
        apart_deg = copied_apart_deg(answer, other)
        if apart_deg is not None:
            values = {"station": other.station, "target": other.target, "apart_deg": apart_deg}
            yield Finding("copied_here", values=values)


def no_other(found: Sequence[Finding], north: str) -> Iterator[Finding]:
    """That there is no other line without what was found: no exchange was left that takes it away,
    or it is so with every line of the place that is asked in a north.
    """
    if any(finding.code not in OF_THE_PLACE for finding in found):
        yield Finding("no_other")
    elif found:
        yield Finding("so_everywhere", values={"north": north})

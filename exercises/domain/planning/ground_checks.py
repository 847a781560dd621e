"""What the ground says about the answer of one task: what is seen, where a walk leads, what bends
the needle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from ..tasks.answer import Answer
from ..tasks.kinds import kind_of
from .answer_checks import answer_findings
from .findings import Finding
from .hazards import KINDS, astray, too_near
from .sight_profile import rises
from .surroundings import Surroundings


def on_its_ground(answer: Answer, ground: Surroundings) -> list[Finding]:
    """The findings on an answer by itself, on its ground and on its station."""
    return [
        *answer_findings(answer),
        *ground_findings(answer, ground),
        *station_findings(ground, [answer.station]),
    ]


def ground_findings(answer: Answer, ground: Surroundings) -> Iterator[Finding]:
    """The findings on a line on its ground."""
    yield from _not_seen(answer, ground)
    yield from _blocked(answer, ground)
    yield from _led_astray(answer, ground)


def _not_seen(answer: Answer, ground: Surroundings) -> Iterator[Finding]:
    """A target that is not noted as seen from its station, on a site where such notes are kept."""
    visible = ground.site.visible
    for station, target in kind_of(answer.kind).lines_sighted(answer):
        seen = visible.get(station, ())
        if visible and target not in seen:
            values = {"station": station, "target": target, "number": len(seen)}
            yield Finding("target_not_seen", answer.task, values)


def _blocked(answer: Answer, ground: Surroundings) -> Iterator[Finding]:
    """A line that passes below the ground at a point between its ends: the worst of them."""
    for station, target in kind_of(answer.kind).lines_sighted(answer):
        over = max(rises(ground.site, station, target), key=lambda rise: rise.below_m, default=None)
        if over:
            values = {
                "station": station,
                "target": target,
                "point": over.point,
                "along_m": over.along_m,
                "below_m": over.below_m,
            }
            yield Finding("sight_blocked", answer.task, values)


def _led_astray(answer: Answer, ground: Surroundings) -> Iterator[Finding]:
    """Dangers that a walk along the bearing, or along what mistakes make of it, would lead into."""
    for way in astray(answer, ground.site.point(answer.station).position, ground.hazards):
        values = {
            "cause": way.cause,
            "bearing_deg": way.bearing_deg,
            "hazard": way.hazard.name,
            "hazard_kind": way.hazard.kind,
            "distance_m": way.distance_m,
            "gap_m": way.gap_m,
            "clear_m": KINDS[way.hazard.kind].clear_m,
        }
        yield Finding("leads_into_danger", answer.task, values)


def station_findings(
    ground: Surroundings, stations: Iterable[str] | None = None
) -> Iterator[Finding]:
    """Stations whose needle is bent, as was observed there, or that stand nearer than the published
    distances to things that bend one, of those named or of all.
    """
    wanted = set(ground.site.points if stations is None else stations)
    for station, estimate in ground.bent.items():
        if station in wanted:
            values = {
                "station": station,
                "degrees": estimate.degrees,
                "error_deg": estimate.error_deg,
                "probability": estimate.probability,
            }
            yield Finding("station_bent", values=values, point=station)
    for near in too_near(ground.site, ground.hazards, wanted):
        values = {
            "station": near.point,
            "distance_m": near.distance_m,
            "hazard": near.hazard.name,
            "hazard_kind": near.hazard.kind,
            "least_m": near.keep_away_m,
            "farther_m": math.ceil(near.keep_away_m - near.distance_m),
            "is_bent": near.point in ground.bent,
        }
        yield Finding("hazard_near", values=values, point=near.point)

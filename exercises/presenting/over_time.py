"""The classes of a site over time: shares of causes, and what its stations read."""

from ..domain.results import across_classes, cohort
from ..domain.words import say
from ..languages import tell, tell_signed, told
from .causes import WORDS as CAUSES

TREND_WORDS = {
    "falling": say("falling"),
    "rising": say("rising"),
    "steady": say("no change that can be told"),
}


def trends(held):
    """A row for each mistake: name, cells with share and interval, what can be said from the first
    class to the last.
    """
    by_class = [
        (
            across_classes.shares([verdict.cause for verdict in held_class.found.verdicts]),
            len(held_class.found.verdicts),
        )
        for held_class in held
    ]
    codes = sorted(
        {code for shares, _ in by_class for code in shares},
        key=lambda code: (
            -sum(shares[code].hits for shares, _ in by_class if code in shares),
            code,
        ),
    )
    return [
        _trend(
            code,
            [
                shares.get(code, across_classes.Share(0, number, *cohort.share_interval(0, number)))
                for shares, number in by_class
            ],
        )
        for code in codes
    ]


def _trend(code, cells):
    """The row of one mistake."""
    shown = [
        (f"{cell.share:.0%}", tell("{low:.0%} to {high:.0%}", low=cell.low, high=cell.high))
        for cell in cells
    ]
    trend = (
        told(TREND_WORDS[across_classes.trend(cells[0], cells[-1])])
        if len(cells) > 1
        else tell("one class")
    )
    return told(CAUSES[code].name), shown, trend


def pooled(held):
    """Each station's bias over all classes: code, bias in words, how many classes."""
    seen, now = {}, held[-1].points if held else {}
    for held_class in held:
        for code, pair in across_classes.station_biases(
            held_class.found, held_class.answers, held_class.first_answers
        ).items():
            if _place(held_class.points, code) == _place(
                now, code
            ):  # surveyed anew since: another station
                seen.setdefault(code, []).append(pair)
    rows = []
    for code, pairs in sorted(seen.items()):
        mean, error = cohort.pooled(pairs)
        interval = tell(
            "{low} to {high}°",
            low=tell_signed(mean - 1.96 * error, 1),
            high=tell_signed(mean + 1.96 * error, 1),
        )
        rows.append(
            (
                code,
                f"{tell_signed(mean, 1)}°",
                interval,
                len(pairs),
                abs(mean) - 1.96 * error > 0 and abs(mean) > 1.0,
            )
        )
    return rows


def _place(points, code):
    """Where a key has a point, None where it has it not."""
    point = points.get(code)
    return point and (point["latitude"], point["longitude"])

"""Classes of a season, one after the other: the share of full credit of each with its interval.
Their figures stand in words beside them.
"""

from . import svg

WIDTH, HEIGHT, LEFT, BELOW = 600.0, 170.0, 54.0, 24.0
DOT, TEXT_PX = 5.0, 14


def season_chart(shares, label):
    """(share, low, high) of each class in 0..1, in order; `label` says in words what it shows."""
    parts = [_level(percent) for percent in (0, 50, 100)]
    step = (WIDTH - LEFT - 20.0) / max(len(shares), 1)
    for place, (share, low, high) in enumerate(shares):
        x = LEFT + 10.0 + step * (place + 0.5)
        parts += [
            svg.line(x, _y(low), x, _y(high), klass="season-interval"),
            svg.element("circle", cx=x, cy=_y(share), r=DOT, klass="season-share"),
            svg.text(
                str(place + 1), x, HEIGHT - 4.0, text_anchor="middle", font_size=float(TEXT_PX)
            ),
        ]
    return svg.drawing(label, (0, 0, WIDTH, HEIGHT), *parts, klass="season")


def _level(percent):
    """A line across, with its percent before it."""
    y = _y(percent / 100.0)
    return svg.line(LEFT, y, WIDTH, y, klass="season-level") + svg.text(
        f"{percent} %", LEFT - 6.0, y + 5.0, text_anchor="end", font_size=float(TEXT_PX)
    )


def _y(share):
    return 10.0 + (HEIGHT - BELOW - 20.0) * (1.0 - share)

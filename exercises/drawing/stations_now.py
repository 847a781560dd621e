"""The stations of a class that is out, where they lie, each with its code and its mark: how many
are there, that nobody has been there, or that it needs a look. What a colour says, a shape and a
word say too.
"""

from . import labels, svg
from .fit import Fit, on_plan

WIDTH, MARGIN = 340.0, 46.0  # as wide as a phone, so that letters are as large as they are written
DISC = 15.0  # the radius of a station's disc
LETTER, LINE = 7.6, 17.0  # about the width of a letter of a label, and its height


def stations_now(middle, stations, positions, label):
    """The drawing about a position; `stations` are (code, mark, words): the code stands in the
    disc and before the words beside it, and `mark` ("empty", "here", "been", "look") gives the
    disc its shape. `positions` holds their places by code. `label` says in words what it shows.
    """
    places = {code: on_plan(middle, positions[code]) for code, *_ in stations}
    fit = Fit.of([x for x, _ in places.values()], [y for _, y in places.values()], WIDTH, MARGIN)
    spots = {code: fit.on_sheet(place) for code, place in places.items()}
    # with its code: between two stations it would be read of the wrong one
    words = {code: f"{code}: {said}" for code, _, said in stations if said}
    put = labels.place(
        {code: spots[code] for code in words},
        lambda code: LETTER * len(words[code]),
        LINE,
        DISC + 4,
        obstacles=[spot for code, spot in spots.items() if code not in words],
        within=(2.0, 2.0, WIDTH - 2, fit.height - 2),
        reaches=labels.FAR[:3],
    )
    parts = [
        svg.line(*spots[code], *at.leader, klass="now-leader")
        for code, at in put.items()
        if at.leader
    ]
    for code, mark, _ in stations:
        parts += _station(mark, code, *spots[code])
    for code, at in put.items():
        parts.append(svg.text(words[code], at.x, at.y, klass="now-label", text_anchor=at.anchor))
    return svg.drawing(label, (0, 0, WIDTH, fit.height), *parts, klass="now-map")


def _station(mark, code, x, y):
    """A disc; of a station that needs a look a square on its corner, of one where nobody has been a
    ring of dashes.
    """
    if mark == "look":
        reach = DISC * 1.3
        corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
        yield svg.polygon(corners, klass="now-look")
    else:
        yield svg.element("circle", cx=x, cy=y, r=DISC, klass=f"now-{mark}")
    yield svg.text(code, x, y + 5.5, klass=f"now-code now-code-{mark}", text_anchor="middle")

"""Bars that are compared by eye: readings with a dot for each of their people, credit in three
parts, a spread beside what can be reached. Their figures stand in words beside them.
"""

from . import svg

LENGTH, THICK = 300.0, 14.0
DOT = 11.0  # from one person to the next, as long as a row holds them
THIN = 5.0  # a bar below its people: these are what the rows stand in order by
STROKE = 1.5


def readings_bar(readings, people, most, label):
    """A dot for each person, and under them a bar as long as the readings are a part of `most`; no
    dots where it does not matter whose they are (`people` is 0). `label` says in words what it
    shows.
    """
    pitch = min(DOT, LENGTH / max(people, 1))
    dots = [
        svg.element(
            "circle",
            cx=(place + 0.5) * pitch,
            cy=DOT / 2,
            r=0.4 * pitch,
            klass="bar-person",
        )
        for place in range(people)
    ]
    bar = svg.element(
        "rect",
        x=0,
        y=DOT if people else 0,
        width=LENGTH * readings / max(most, 1),
        height=THIN if people else THICK,
        klass="bar-reading" if people else "bar-other",
    )
    height = DOT + THIN if people else THICK
    return svg.drawing(label, (0, 0, LENGTH, height), bar, *dots, klass="bar")


def credit_bar(full, part, none, label):
    """How many readings earned each credit, as parts of one bar: filled, striped, empty."""
    whole, at, parts = max(full + part + none, 1), 0.0, []
    for number, name in ((full, "full"), (part, "part"), (none, "none")):
        width = LENGTH * number / whole
        parts.append(
            svg.element("rect", x=at, y=0, width=width, height=THICK, klass=f"credit-{name}")
        )
        at += width
    return svg.drawing(
        label,
        (-STROKE, -STROKE, LENGTH + 2 * STROKE, THICK + 2 * STROKE),
        *parts,
        klass="bar bar-credit",
        preserveAspectRatio="none",  # as long as the page is wide
    )


def spread_bars(own_deg, reachable_deg, label):
    """Two spreads to one scale, each to both sides of the answer: the class's own, and what can be
    reached.
    """
    most_deg, middle = max(own_deg, reachable_deg, 0.1), LENGTH / 2
    parts = []
    for row, (degrees, klass) in enumerate(((own_deg, "bar-reading"), (reachable_deg, "bar-best"))):
        half = middle * degrees / most_deg
        parts.append(
            svg.element(
                "rect",
                x=middle - half,
                y=row * (THICK + 6),
                width=2 * half,
                height=THICK,
                klass=klass,
            )
        )
    bottom = 2 * THICK + 6
    parts.append(svg.line(middle, 0, middle, bottom, klass="bar-middle"))
    return svg.drawing(label, (0, 0, LENGTH, bottom), *parts, klass="bar")

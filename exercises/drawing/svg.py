"""Just enough SVG: elements as text, everything escaped, numbers written short and with a point."""

import math
from html import escape as escaped

from django.utils.html import escape
from django.utils.safestring import mark_safe


def number(value):
    """A length with at most two decimals, never in a locale's form.

    >>> number(3.0), number(2.5049)
    ('3', '2.5')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def element(name, *children, **attributes):
    """An element; `klass` is class, underscores become hyphens."""
    written = "".join(
        f' {"class" if key == "klass" else key.replace("_", "-")}="{escaped(number(value))}"'
        for key, value in attributes.items()
    )
    return mark_safe(f"<{name}{written}>{''.join(children)}</{name}>")


def text(content, x, y, **attributes):
    """A text at a place."""
    return element("text", escape(content), x=float(x), y=float(y), **attributes)


def line(x1, y1, x2, y2, **attributes):
    """A straight line."""
    return element("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), **attributes)


def polygon(corners, **attributes):
    """A closed figure through (x, y) corners."""
    points = " ".join(f"{number(float(x))},{number(float(y))}" for x, y in corners)
    return element("polygon", points=points, **attributes)


def polar(bearing_deg, radius):
    """A place on the sheet, north up, from a bearing and a radius: (x to the right, y
    downwards).
    """
    angle = math.radians(bearing_deg)
    return radius * math.sin(angle), -radius * math.cos(angle)


def sector(from_deg, to_deg, inner, outer, **attributes):
    """A ring's part between two bearings, clockwise, of less than a full turn."""
    large = 1 if to_deg - from_deg > 180 else 0
    (ax, ay), (bx, by) = polar(from_deg, outer), polar(to_deg, outer)
    (cx, cy), (dx, dy) = polar(to_deg, inner), polar(from_deg, inner)
    path = (
        f"M{number(ax)} {number(ay)}A{outer} {outer} 0 {large} 1 {number(bx)} {number(by)}"
        f"L{number(cx)} {number(cy)}A{inner} {inner} 0 {large} 0 {number(dx)} {number(dy)}Z"
    )
    return element("path", d=path, **attributes)


def drawing(label, box, *children, **attributes):
    """The whole drawing: `box` is (left, top, width, height); `label` says in words what it
    shows.
    """
    return element(
        "svg",
        element("title", escape(label)),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(number(float(value)) for value in box),
        role="img",
        **attributes,
    )

"""What rescuers and helpers must know of a site: where it is in the forms that they take down, the
way in, whom to call, the way out for who is lost.
"""

from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.earth.grid_notation import as_mgrs
from ..domain.earth.magnetics import NoDeclination
from ..domain.earth.position import Position
from ..domain.earth.written_places import as_utm, decimal_minutes
from ..languages import tell
from ..printing.notices import Notice
from .prints import foot


def emergency_notice(course_class, when, parts):
    """The emergency sheet as a print."""
    return Notice(
        tell("In an emergency"),
        f"{course_class.name} · {when}",
        tuple((heading, tuple(lines)) for heading, lines in parts),
        foot(),
    )


def utm_text(position):
    """A position on the UTM grid, with its half of the Earth in words."""
    place = as_utm(position)
    values = {"zone": place.zone, "east": f"{place.east_m:06d}", "north": f"{place.north_m:07d}"}
    if place.is_north:
        return tell("zone {zone} north, {east} mE {north} mN", **values)
    return tell("zone {zone} south, {east} mE {north} mN", **values)


def emergency_text(site, on):
    """The emergency sheet of a site on a day, ready to print: (heading, lines) of each part that
    holds something.
    """
    parts = [
        (tell("The site: {name}", name=site.name), place_lines(site.position())),
        (tell("Meeting point"), _meeting(site)),
        (tell("The way in"), _lines(site.way_in)),
        (tell("Whom to call"), _lines(site.contacts)),
        (tell("Who is lost"), _lines(safety_text(site, on))),
        (tell("Cautions"), _lines(site.cautions)),
    ]
    return [(heading, lines) for heading, lines in parts if lines]


def place_lines(position):
    """A position in each form."""
    return [decimal_minutes(position), utm_text(position), f"MGRS {as_mgrs(position)}"]


def _meeting(site):
    """The meeting point in words and figures, as far as they are known."""
    words = _lines(site.meeting_point)
    if site.meeting_latitude is None or site.meeting_longitude is None:
        return words
    return [*words, *place_lines(Position(site.meeting_latitude, site.meeting_longitude))]


def _lines(text):
    """The lines of what somebody typed that hold something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def safety_text(site, on):
    """The bearing that leads out of a site, as a compass shows it on a day: `Lost? Walk 118°
    magnetic until you come to the road, and wait there.`; nothing where none is set.
    """
    if site.safety_bearing_deg is None:
        return ""
    try:
        norths, _ = site.bare().north_of(site.position(), on)
    except (NoDeclination, UnsuitableGrid):
        return ""
    magnetic_deg = round(norths.turn(site.safety_bearing_deg, "true", "magnetic")) % 360
    leads_to = site.safety_leads_to.strip().rstrip(".")
    if not leads_to:
        return tell("Lost? Walk {degrees:03.0f}° magnetic.", degrees=float(magnetic_deg))
    return tell(
        "Lost? Walk {degrees:03.0f}° magnetic until you come to {place}, and wait there.",
        degrees=float(magnetic_deg),
        place=leads_to,
    )

"""Places that lie far from their site, and the slip of the pen that may have put them there."""

from ..domain.earth import geodesy
from ..domain.earth.geodesy import Position
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import say, together


def far(position, near):
    """Why a position far from the site is refused, with the slip that would explain it; empty for
    one that is near.
    """
    metres = geodesy.apart_m(position, near)
    if metres <= FAR_FROM_SITE_M:
        return ""
    return together(
        [
            say("This is {distance:.0f} km from the site.", distance=metres / 1000.0),
            slip(position, near),
        ]
    )


def slip(position, near):
    """The slip that explains a position far from a site."""
    latitude, longitude = position.latitude_deg, position.longitude_deg
    for lat, lon, words in (
        (-latitude, longitude, say("Is the sign of the latitude wrong? South is negative.")),
        (latitude, -longitude, say("Is the sign of the longitude wrong? West is negative.")),
        (-latitude, -longitude, say("Are both signs wrong? South and west are negative.")),
        (longitude, latitude, say("Are latitude and longitude exchanged?")),
        (-longitude, latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
        (longitude, -latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
    ):
        if abs(lat) <= 90 and geodesy.apart_m(Position(lat, lon), near) <= FAR_FROM_SITE_M:
            return words
    return say("Check both numbers against the site's position.")

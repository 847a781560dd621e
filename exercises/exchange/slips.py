"""Places that lie far from their site, and the slip of the pen that may have put them there."""

from ..domain.earth import geodesy
from ..domain.earth.geodesy import Position
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..domain.words import say, together


def far(position, near):
    """Why a position far from the site is refused, with the slip that would explain it; empty for
    one that is near.
    """
    if is_near(position, near):
        return ""
    metres = geodesy.apart_m(position, near)
    return together(
        [
            say("This is {distance:.0f} km from the site.", distance=metres / 1000.0),
            slip(position, near),
        ]
    )


def is_near(position, near):
    """Whether a position lies on or near a site."""
    return geodesy.apart_m(position, near) <= FAR_FROM_SITE_M


def wrong_sign(position, near):
    """The sign, or both, that explain a position far from a site; empty where none does."""
    latitude, longitude = position.latitude_deg, position.longitude_deg
    for lat, lon, words in (
        (-latitude, longitude, say("Is the sign of the latitude wrong? South is negative.")),
        (latitude, -longitude, say("Is the sign of the longitude wrong? West is negative.")),
        (-latitude, -longitude, say("Are both signs wrong? South and west are negative.")),
    ):
        if is_near(Position(lat, lon), near):
            return words
    return ""


def slip(position, near):
    """The slip that explains a position far from a site."""
    if words := wrong_sign(position, near):
        return words
    latitude, longitude = position.latitude_deg, position.longitude_deg
    for lat, lon, words in (
        (longitude, latitude, say("Are latitude and longitude exchanged?")),
        (-longitude, latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
        (longitude, -latitude, say("Are latitude and longitude exchanged, and a sign wrong?")),
    ):
        if abs(lat) <= 90 and is_near(Position(lat, lon), near):
            return words
    return say("Check both numbers against the site's position.")

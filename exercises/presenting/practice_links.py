"""The links with which an instructor sends a class to practise at home, with the site's own
declination on the day of the class.
"""

from urllib.parse import urlencode

from ..domain.earth.geodesy import UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.planning import home_lessons
from ..languages import tell, told
from .north_sentences import declination_text


def practice_links(site, on, address):
    """A link for each dial, for a site's row on a date; `address` is that of the practice page.
    Where there is none, `trouble` says why.
    """
    shown = {"words": "", "links": [], "trouble": ""}
    try:
        norths, _ = site.as_domain().north_of(site.position(), on)
    except (NoDeclination, UnsuitableGrid) as error:
        return shown | {"trouble": told(error)}
    declination_deg = round(norths.declination_deg)
    if abs(declination_deg) > home_lessons.LARGEST_DECLINATION_DEG:
        return shown | {
            "trouble": tell(
                "A declination of more than {most}° is too much for the lessons.",
                most=home_lessons.LARGEST_DECLINATION_DEG,
            )
        }
    return shown | {
        "words": tell(
            "With the declination of your site on that day, {declination}.",
            declination=declination_text(declination_deg),
        ),
        "links": [
            _link(home_lessons.Setting(declination_deg, step), address)
            for step in home_lessons.GRADUATIONS_DEG
        ],
    }


def _link(setting, address):
    return {
        "step": setting.graduation_deg,
        "address": f"{address}?{urlencode(home_lessons.link_of(setting))}",
    }

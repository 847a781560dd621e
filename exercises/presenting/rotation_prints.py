"""A rotation that was kept, in words for paper."""

from ..languages import tell, tell_many
from ..printing.rotation_sheets import TimeCard, TimeRow, Wall
from .prints import foot
from .rotation_live import clock_of

LONGEST_CAUTIONS = 500  # characters that a card of half a sheet has room for


def group_cards(row, points, site, when):
    """A card for each group: when it is where, and who helps there; `points` hold the names of
    stations by code.
    """
    rotation, clock = row.as_domain(), clock_of(row.course_class, row)
    return [
        TimeCard(
            title=tell("Group {name}", name=group.code),
            when=f"{row.course_class.name} · {when}",
            rows=(
                *(
                    _at(one.at.get(group.code), _span(one, clock), points, row.helpers)
                    for one in rotation.rounds
                ),
                TimeRow(clock(rotation.minutes), "", tell("all are through")),
            ),
            cautions=_cautions(site),
            foot=foot(),
        )
        for group in rotation.problem.groups
    ]


def _cautions(site):
    """The cautions of a site, or where they fill a sheet of their own, where they stand."""
    if len(site.cautions) <= LONGEST_CAUTIONS:
        return site.cautions
    return tell("Read the cautions on the station cards before you go.")


def _span(one, clock):
    return f"{clock(one.from_min)}–{clock(one.until_min)}"


def _at(code, span, points, helpers):
    """One round of a group."""
    if not code:
        return TimeRow(span, "–", tell("wait"))
    name = points.get(code, {}).get("name", "")
    helper = tell("with {name}", name=helpers[code]) if code in helpers else ""
    return TimeRow(span, code, " · ".join(filter(None, (name, helper))))


def station_sheets(row, points, site, when):
    """A sheet for each station: who comes when."""
    rotation, clock = row.as_domain(), clock_of(row.course_class, row)
    return [
        TimeCard(
            title=f"{station.code}  {points.get(station.code, {}).get('name', '')}".rstrip(),
            when=" · ".join(
                filter(None, (row.helpers.get(station.code), row.course_class.name, when))
            ),
            rows=tuple(
                _comes(
                    [group for group, code in one.at.items() if code == station.code], one, clock
                )
                for one in rotation.rounds
            ),
            cautions=_cautions(site),
            foot=foot(),
        )
        for station in rotation.problem.stations
    ]


def _comes(groups, one, clock):
    """Who comes to a station in a round."""
    if not groups:
        return TimeRow(_span(one, clock), "–", tell("nobody"))
    words = tell_many("Group {names}", "Groups {names}", len(groups), names=", ".join(groups))
    return TimeRow(_span(one, clock), groups[0], words)


def wall(row, when):
    """The whole table."""
    rotation, clock = row.as_domain(), clock_of(row.course_class, row)
    return Wall(
        title=tell("Rotation: {name}", name=row.course_class.name),
        when=when,
        heading=tell("Group"),
        times=tuple((clock(one.from_min), clock(one.until_min)) for one in rotation.rounds),
        rows=tuple(
            (group.code, tuple(one.at.get(group.code, "–") for one in rotation.rounds))
            for group in rotation.problem.groups
        ),
        foot=foot(),
    )

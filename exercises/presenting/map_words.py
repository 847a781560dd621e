"""The words of the practice map: the rule between the norths, what the lines and figures are, how
all was surveyed, the legend; and which sheets a course wants.
"""

from dataclasses import dataclass

from django.utils.formats import date_format

from .. import vocabulary
from ..domain.earth import geodesy, grid_notation
from ..domain.planning.hazards import KINDS
from ..domain.tasks.kinds import kind_of
from ..domain.words import say
from ..drawing.norths import (
    SHORT,
    norths_in_words,
    not_to_scale,
    true_and_magnetic_in_words,
)
from ..languages import local, tell, told
from ..printing import map_frame, map_margin
from ..printing.map_sheet import MapSheet
from .north_sentences import both_ways
from .prints import foot

MAP_NORTHS = ("grid", "true")  # along which a sheet's lines can run
MARKS = {
    "station": say("station: stand here"),
    "target": say("target: sight it"),
    "both": say("station that is sighted as well"),
    "spot": say("place to choose from"),
    "beyond": say("place to choose from, beyond this sheet"),
}
DANGERS_FIRST = sorted(KINDS, key=lambda kind: not KINDS[kind].is_danger)
LEAST_CHANGE_DEG = 0.05  # a year; less is printed as none
SQUARE_M = 100_000


@dataclass(frozen=True)
class Printed:
    """What is said of the ground of a map: its name, the day, the `Norths` and the `Declination` of
    its middle and how the latter changes, degrees a year; the first and last day of its survey,
    or None; the answers of its course.
    """

    name: str
    on: object
    norths: object
    declination: object
    yearly_deg: float
    surveyed: tuple | None
    answers: tuple


def sheets_wanted(answers, chosen):
    """The norths of the sheets that a course wants, those that its tasks ask for on the map first;
    `chosen` is one to be printed besides, or empty.
    """
    asked = [north for north in MAP_NORTHS if tasks_on(answers, north)]
    return list(dict.fromkeys([*asked, *([chosen] if chosen else [])])) or ["grid"]


def tasks_on(answers, north):
    """The labels of the tasks that want a map with lines of a north."""
    return [
        answer.task
        for answer in answers
        if answer.north == north and kind_of(answer.kind).on_map(answer)
    ]


def spots_of(answers, ground):
    """What the map must not show, because a task asks for it, and the spots that it shows with
    letters, as positions by code. `ground` holds the points.
    """
    spots = {
        spot.code: geodesy.moved(answer.form.origin, spot.east_m, spot.north_m)
        for answer in answers
        for spot in answer.form.spots_on_map
    }
    held_back = {
        answer.spot: ground.point(answer.target).position for answer in answers if answer.spot
    }
    return _hidden(answers), spots | held_back


def _hidden(answers):
    """The codes of points that the map must not show: places sought, and what may be named in the
    field after a bearing off the map.
    """
    needed = {
        code
        for answer in answers
        for code in kind_of(answer.kind).on_map(answer)
        if not (answer.spot and code == answer.target)
    }
    named = {code for answer in answers for code in kind_of(answer.kind).hidden_on_map(answer)}
    sought = {
        code
        for answer in answers
        if not answer.after
        for code in kind_of(answer.kind).sought_at(answer)
    }
    return frozenset(sought | (named - needed))


def words_of_sheet(ground, printed, north):
    """The words of a sheet with lines of a north, by the denominator of its scale."""

    def words(scale):
        return MapSheet(
            title=printed.name,
            north=north,
            scale=f"1:{scale}",
            up=f"\N{UPWARDS ARROW} {told(SHORT[north])}",
            check=tell(
                "This line must measure 100 mm. If it does not, print again at 100 %, without "
                "fitting to the page."
            ),
            rule=both_ways(printed.norths, north, "magnetic"),
            texts=_texts(ground, printed, north, scale),
            corner=lambda east_m, north_m: _corner(ground, north, east_m, north_m),
            norths=printed.norths,
            not_to_scale=not_to_scale(),
            legend=tell("On this sheet"),
            marks={kind: told(text) for kind, text in MARKS.items()},
            hazards={kind: told(vocabulary.HAZARDS[kind]) for kind in DANGERS_FIRST},
        )

    return words


def _texts(ground, printed, north, scale):
    """The small print, in order."""
    return tuple(
        text
        for text in (
            _tasks(printed.answers, north),
            LINES[north](ground, scale),
            SUMS[north](printed.norths),
            _declination(printed),
            _survey(ground, printed, scale),
            foot(),
        )
        if text
    )


def _tasks(answers, north):
    """For which tasks the sheet is."""
    tasks = tasks_on(answers, north)
    if tasks:
        return tell(
            "For the tasks that ask {north} north: {tasks}.",
            north=vocabulary.NORTHS[north],
            tasks=", ".join(tasks),
        )
    others = [other for other in MAP_NORTHS if other != north and tasks_on(answers, other)]
    if others:
        return tell(
            "No task is measured on this sheet: they ask {north} north, and have a sheet of "
            "their own.",
            north=vocabulary.NORTHS[others[0]],
        )
    return ""


def _grid_lines(ground, scale):
    epsg = ground.site.epsg(ground.middle)
    grid, datum = geodesy.grid_names(epsg)
    lines = tell(
        "Lines: grid north, every {metres} m. Grid: {grid}, datum {datum}, {square}. The figures "
        "count tens of metres within it.",
        metres=map_frame.lines_every_m(scale),
        grid=grid,
        datum=datum,
        square=_square(ground, epsg),
    )
    romer = tell(
        "Romer: lay its corner on the place. Read metres east along its upper edge at the line to "
        "the left, metres north down its right edge at the strokes below; one tick is {metres} m.",
        metres=map_margin.romer_tick_m(scale),
    )
    return f"{lines} {romer}"


def _square(ground, epsg):
    """The square of 100 km that a site's middle lies in, by its letters where the grid is the UTM
    zone's own, and by its corner.
    """
    east_m, north_m = geodesy.easting_northing(ground.middle, epsg)
    corner = {
        "east": int(east_m // SQUARE_M * SQUARE_M),
        "north": int(north_m // SQUARE_M * SQUARE_M),
    }
    if epsg == geodesy.utm_epsg(ground.middle):
        letters = grid_notation.square_100_km(ground.middle)
        return tell("100 km square {letters} from E {east} N {north}", letters=letters, **corner)
    return tell("100 km square from E {east} N {north}", **corner)


def _meridians(ground, scale):
    lines = tell(
        "Lines: meridians, true north, every {metres} m. Datum WGS 84. This sheet has no grid: no "
        "grid reference can be read from it.",
        metres=map_frame.lines_every_m(scale),
    )
    return f"{lines} {tell('Answer with a letter.')}" if ground.lettered else lines


LINES = {"grid": _grid_lines, "true": _meridians}
SUMS = {"grid": norths_in_words, "true": true_and_magnetic_in_words}  # beside the rule of a sheet


def _declination(printed):
    """Model, day, uncertainty and yearly change of the declination."""
    return tell(
        "Declination by {model} for {when}, ± {degrees:.1f}° (one sigma), {change}.",
        model=printed.declination.model,
        when=date_format(printed.on, "DATE_FORMAT"),
        degrees=printed.declination.uncertainty_deg,
        change=_change(printed.yearly_deg),
    )


def _change(yearly_deg):
    if abs(yearly_deg) < LEAST_CHANGE_DEG:
        return tell("changing by less than 0.05° a year")
    if yearly_deg > 0:
        return tell("moving {degrees:.1f}° east a year", degrees=yearly_deg)
    return tell("moving {degrees:.1f}° west a year", degrees=-yearly_deg)


def _survey(ground, printed, scale):
    """How well and when the points were surveyed, and how well they are drawn."""
    accuracy_m = max((point.accuracy_m for point in ground.site.points.values()), default=0.0)
    accuracy = tell(
        "Points are surveyed to ± {metres} m (one sigma) or better, {mm} mm here; lines are drawn "
        "to 0.1 mm.",
        metres=local(f"{accuracy_m:.1f}"),
        mm=local(f"{accuracy_m * 1000 / scale:.1f}"),
    )
    return f"{accuracy} {_surveyed(printed.surveyed)}"


def _surveyed(days):
    if not days:
        return tell("The day of the survey was not noted.")
    first, last = (date_format(day, "DATE_FORMAT") for day in days)
    if first == last:
        return tell("Surveyed on {day}.", day=first)
    return tell("Surveyed from {first} to {last}.", first=first, last=last)


def _corner(ground, north, east_m, north_m):
    """The coordinates of a corner: on the grid, of a sheet without one in degrees as well."""
    position = map_frame.position(ground, east_m, north_m, north)
    if north == "grid":
        return _on_grid(east_m, north_m)
    on_grid = geodesy.easting_northing(position, ground.site.epsg(ground.middle))
    return f"{_in_degrees(position)} · {_on_grid(*on_grid)}"


def _on_grid(east_m, north_m):
    return tell("E {east:.0f} N {north:.0f}", east=east_m, north=north_m)


def _in_degrees(position):
    """Degrees to about a metre."""
    north, east = position.latitude_deg, position.longitude_deg
    latitude = (
        tell("{degrees:.5f}° N", degrees=north)
        if north >= 0
        else tell("{degrees:.5f}° S", degrees=-north)
    )
    longitude = (
        tell("{degrees:.5f}° E", degrees=east)
        if east >= 0
        else tell("{degrees:.5f}° W", degrees=-east)
    )
    return f"{latitude} {longitude}"

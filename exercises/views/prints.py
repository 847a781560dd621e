"""What is printed of a class: a page to choose from, and the PDFs."""

from dataclasses import replace

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_safe

from .. import queries
from ..domain.earth import magnetics
from ..domain.earth.geodesy import Position, UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.tasks.kinds import kind_of
from ..domain.tasks.site import Point
from ..forms.prints import PrintForm
from ..languages import tell, told
from ..permissions import class_of
from ..presenting import map_words, prints as printable, rotation_prints
from ..presenting.record import record
from ..presenting.units import angles_of_class
from ..printing import cards, map_sheet, pack, person_sheets, rotation_sheets, sheets
from ..printing.records import record_sheets
from ..serving import server
from ..usecases import open_class
from ..usecases.debrief import debrief, settled_or_of

LONGEST_NAME = 80
MADE = "navclass_made"  # a cookie that tells slow.js that a file has come, also where it is saved


@require_safe
@login_required
def prints(request, pk):
    """Choose paper, size of cards and norths, and what to print. Sheets and key are never one click
    apart.
    """
    course_class = class_of(request.user, pk)
    form = PrintForm(request.GET or None)
    trouble = ""
    try:
        _answers(course_class)
    except open_class.NotReady as error:
        trouble = told(error)
    return _page(request, course_class, form, trouble)


def _page(request, course_class, form, trouble, status=200):
    return render(
        request,
        "exercises/desk/prints.html",
        {
            "class": course_class,
            "form": form,
            "trouble": trouble,
            "query": request.GET.urlencode(),
            "has_readings": course_class.readings.exists(),
            "has_rotation": course_class.rotations.exists(),
        },
        status=status,
    )


@require_safe
@login_required
def printed(request, pk, what):
    """One PDF."""
    course_class = class_of(request.user, pk)
    form = PrintForm(request.GET or None)
    if what not in PRINTS or (form.is_bound and not form.is_valid()):
        raise Http404("There is no such print.")
    try:
        content = PRINTS[what](request, course_class, form.choices())
    except map_sheet.TooLarge:
        return _page(request, course_class, form, printable.too_large(), status=409)
    except (open_class.NotReady, NoDeclination, UnsuitableGrid) as error:
        return _page(request, course_class, form, told(error), status=409)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{course_class.code}-{what}.pdf"'
    answer.set_cookie(
        MADE, "yes", max_age=60, secure=settings.SESSION_COOKIE_SECURE, samesite="Lax"
    )
    return answer


def _answers(course_class):
    """The answers and points that are printed: the frozen key's, or before opening the ones
    computed for the day.
    """
    key = queries.current_key(course_class)
    if key:
        return key.counted(), key.points
    points = {
        point.code: {"name": point.name, "mark": point.mark}
        for point in course_class.course.site.points.all()
    }
    return open_class.compute_key(
        course_class.course, course_class.date, course_class.key_source
    ), points


def _when(course_class):
    return date_format(course_class.date, "DATE_FORMAT")


def _card_texts(request, course_class):
    answers, points = _answers(course_class)
    codes = dict(course_class.course.site.points.values_list("code", "card_code"))
    host = server.host_for_phones(request.get_host(), server.address_on_the_network())
    marks = [mark for answer in answers for mark in kind_of(answer.kind).marks(answer)]
    missing = next((mark for mark in marks if mark not in codes), None)
    if missing:
        raise open_class.NotReady(
            tell(
                "The station {code} of the key is not on the site any more, or has another code. "
                "Give it its code again, then print.",
                code=missing,
            )
        )

    def address_of(code):
        """Upper case throughout, which makes a QR code of fewer and larger modules."""
        return (
            f"{request.scheme}://{host}{reverse('card_in_capitals', args=[codes[code]])}".upper(),
            codes[code],
        )

    angles = angles_of_class(course_class.units())
    return printable.cards(answers, points, course_class.course.site, address_of, angles)


def _cards(request, course_class, choices):
    return cards.station_cards(
        _card_texts(request, course_class), choices.layout, course_class.name
    )


def _map_parts(course_class, choices):
    """The ground of a class's map, and the words of each sheet that is wanted."""
    site = course_class.course.site
    key, ground = queries.current_key(course_class), site.as_domain()
    if key:  # the sheet shows what the key was reckoned from, though a point was moved since
        ground = replace(
            ground,
            points={
                code: _as_frozen(code, point, ground.points.get(code))
                for code, point in key.points.items()
            },
        )
    norths, declination = ground.north_of(site.position(), course_class.date)
    answers = _answers_or_none(course_class)
    sought, lettered = map_words.spots_of(answers, ground)
    laid_out = map_sheet.Ground(ground, site.position(), site.hazards_as_domain(), sought, lettered)
    printed = map_words.Printed(
        site.name,
        course_class.date,
        norths,
        declination,
        magnetics.annual_change_deg(site.position(), course_class.date),
        queries.survey_days(site),
        answers,
    )
    return laid_out, [
        map_words.words_of_sheet(laid_out, printed, north)
        for north in map_words.sheets_wanted(answers, choices.north)
    ]


def _answers_or_none(course_class):
    """The answers whose tasks the map serves; none of a course that has none yet, whose ground may
    be printed all the same.
    """
    try:
        return tuple(_answers(course_class)[0])
    except open_class.NotReady:
        return ()


def _as_frozen(code, frozen, point):
    """A point as the key holds it; what the key does not hold, as it is by now."""
    position = Position(frozen["latitude"], frozen["longitude"], frozen["elevation_m"])
    return (
        replace(point, position=position)
        if point
        else Point(code, frozen["name"], position, frozen["accuracy_m"], frozen["mark"])
    )


def _map(request, course_class, choices):
    return map_sheet.map_sheet(
        *_map_parts(course_class, choices), choices.sheet, course_class.course.site.name
    )


def _sheets(request, course_class, choices):
    answers, points = _answers(course_class)
    return sheets.participant_sheet(
        *_sheet_words(course_class, answers, points),
        choices.sheet,
        _names(course_class),
    )


def _sheet_words(course_class, answers, points):
    """The lines and the heads of sheets to fill in."""
    angles = angles_of_class(course_class.units())
    return (
        printable.participant_lines(answers, points, course_class.asks, angles),
        printable.participant_heads(course_class, _when(course_class), answers, angles),
    )


def _names(course_class):
    """The people of a class, or one sheet without a name."""
    people = course_class.people.listed().order_by("name")
    return list(people.values_list("name", flat=True)) or [""]


def _key(request, course_class, choices):
    answers, _ = _answers(course_class)
    key = queries.current_key(course_class)
    version = tell("version {version}", version=key.version) if key else tell("not frozen yet")
    return sheets.key_sheet(
        printable.key_lines(answers, angles_of_class(course_class.units())),
        printable.key_heads(course_class, _when(course_class), version, answers),
        choices.sheet,
    )


def _person_sheets(request, course_class, choices):
    """Everybody's, or that of the person who is asked for."""
    people = list(course_class.people.listed())
    if "person" in request.GET:
        people = [one for one in people if str(one.pk) == request.GET["person"]]
        if not people:
            raise Http404("Nobody in the class has this number.")
    if not people or not queries.current_key(course_class):
        raise open_class.NotReady(tell("Nobody is in the class yet."))
    return person_sheets.person_sheets(
        printable.person_sheets(
            settled_or_of(course_class=course_class, people=people),
            people,
            course_class,
            _when(course_class),
        ),
        course_class.name,
        choices.sheet,
    )


def _records(request, course_class, choices):
    """The record of one person, or of all who passed."""
    instructor = request.GET.get("instructor", "").strip()[:LONGEST_NAME]
    if not instructor:
        raise open_class.NotReady(tell("Type the instructor's name: it stands on the record."))
    people = course_class.people.listed().order_by("name")
    whole = debrief(course_class=course_class, now=timezone.now())
    if "person" in request.GET:
        chosen = [one for one in people if str(one.pk) == request.GET["person"]]
    else:
        chosen = [one for one in people if (found := whole.passing(one)) and found.passed]
    chosen = [one for one in chosen if str(one.pk) in whole.by_person]
    if not chosen:
        raise open_class.NotReady(tell("There is nobody of whom a record could be printed."))
    request.session["instructor"] = instructor
    records = [record(whole, one, _when(course_class), instructor) for one in chosen]
    return record_sheets(records, course_class.name, choices.sheet)


def _pack(request, course_class, choices):
    """Map, cards and sheets in order; the key is not in it."""
    answers, points = _answers(course_class)
    return pack.pack(
        course_class.name,
        choices.sheet,
        choices.layout,
        _map_parts(course_class, choices),
        _card_texts(request, course_class),
        _sheet_words(course_class, answers, points),
        _names(course_class),
    )


def _kept_rotation(course_class):
    """The rotation that was kept last, and the names of stations. Raises NotReady."""
    row = course_class.rotations.first()
    if row is None:
        raise open_class.NotReady(tell("Keep a rotation first, then print it."))
    return row, _answers(course_class)[1]


def _rotation_groups(request, course_class, choices):
    row, points = _kept_rotation(course_class)
    made = rotation_prints.group_cards(row, points, course_class.course.site, _when(course_class))
    return rotation_sheets.time_cards(made, course_class.name, choices.sheet)


def _rotation_stations(request, course_class, choices):
    row, points = _kept_rotation(course_class)
    made = rotation_prints.station_sheets(
        row, points, course_class.course.site, _when(course_class)
    )
    return rotation_sheets.time_cards(made, course_class.name, choices.sheet)


def _rotation_wall(request, course_class, choices):
    row, _ = _kept_rotation(course_class)
    return rotation_sheets.wall_table(rotation_prints.wall(row, _when(course_class)), choices.sheet)


PRINTS = {
    "cards": _cards,
    "map": _map,
    "sheets": _sheets,
    "key": _key,
    "people": _person_sheets,
    "records": _records,
    "pack": _pack,
    "rotation-groups": _rotation_groups,
    "rotation-stations": _rotation_stations,
    "rotation-wall": _rotation_wall,
}

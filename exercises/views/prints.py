"""What is printed of a class: a page to choose from, and the PDFs."""

from dataclasses import replace

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.formats import date_format
from django.views.decorators.http import require_safe

from .. import queries
from ..domain.earth.geodesy import Position, UnsuitableGrid
from ..domain.earth.magnetics import NoDeclination
from ..domain.tasks.kinds import kind_of
from ..domain.tasks.site import Point
from ..forms.prints import PrintForm
from ..languages import tell, told
from ..permissions import class_of
from ..presenting import prints as printable
from ..printing import cards, map_sheet, pack, sheets
from ..serving import server
from ..usecases import open_class
from ..usecases.debrief import debrief_of

WHATS = ("cards", "map", "sheets", "key", "summaries", "pack")


@require_safe
@login_required
def prints(request, pk):
    """Choose paper, size of cards and norths, and what to print. Sheets and key are never one click
    apart.
    """
    row = class_of(request.user, pk)
    form = PrintForm(request.GET or None)
    trouble = ""
    try:
        _answers(row)
    except open_class.NotReady as error:
        trouble = told(error)
    return render(
        request,
        "exercises/desk/prints.html",
        {
            "class": row,
            "form": form,
            "trouble": trouble,
            "query": request.GET.urlencode(),
            "has_readings": row.readings.exists(),
        },
    )


@require_safe
@login_required
def printed(request, pk, what):
    """One PDF."""
    row = class_of(request.user, pk)
    form = PrintForm(request.GET or None)
    if what not in WHATS or (form.is_bound and not form.is_valid()):
        raise Http404("There is no such print.")
    try:
        content = {
            "cards": _cards,
            "map": _map,
            "sheets": _sheets,
            "key": _key,
            "summaries": _summaries,
            "pack": _pack,
        }[what](request, row, form.choices())
    except (open_class.NotReady, map_sheet.TooLarge, NoDeclination, UnsuitableGrid) as error:
        trouble = (
            tell(
                "The site is too wide for this paper at 1:10,000. Choose larger paper, or a site "
                "for each part."
            )
            if isinstance(error, map_sheet.TooLarge)
            else told(error)
        )
        return render(
            request,
            "exercises/desk/prints.html",
            {
                "class": row,
                "form": form,
                "trouble": trouble,
                "query": request.GET.urlencode(),
                "has_readings": row.readings.exists(),
            },
            status=409,
        )
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{row.code}-{what}.pdf"'
    return answer


def _answers(row):
    """The answers and points that are printed: the frozen key's, or before opening the ones
    computed for the day.
    """
    key = queries.current_key(row)
    if key:
        return key.counted(), key.points
    points = {
        point.code: {"name": point.name, "mark": point.mark}
        for point in row.course.site.points.all()
    }
    return open_class.compute_key(row.course, row.date, row.key_source), points


def _when(row):
    return date_format(row.date, "DATE_FORMAT")


def _card_texts(request, row):
    answers, points = _answers(row)
    codes = dict(row.course.site.points.values_list("code", "card_code"))
    host = server.host_for_phones(request.get_host(), server.address_on_the_network())

    if missing := next(
        (
            mark
            for answer in answers
            for mark in kind_of(answer.kind).marks(answer)
            if mark not in codes
        ),
        "",
    ):
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

    return printable.cards(answers, points, row.course.site, address_of)


def _cards(request, row, choices):
    return cards.station_cards(_card_texts(request, row), choices.layout, row.name)


def _map_parts(row, choices):
    site = row.course.site
    key, ground = queries.current_key(row), site.as_domain()
    if key:  # the sheet shows what the key was reckoned from, though a point was moved since
        ground = replace(
            ground,
            points={
                code: _as_frozen(code, point, ground.points.get(code))
                for code, point in key.points.items()
            },
        )
    norths, declination = ground.north_of(site.position(), row.date)
    sought, lettered = _spots(row)
    return (
        map_sheet.Ground(ground, site.position(), site.hazards_as_domain(), sought, lettered),
        printable.map_words(
            site, ground, norths, declination, _when(row), choices.north, bool(lettered)
        ),
    )


def _spots(row):
    """What the tasks want of the map; nothing of a course that has no answers yet, whose ground may
    be printed all the same.
    """
    try:
        return printable.spots_of(_answers(row)[0])
    except open_class.NotReady:
        return frozenset(), {}


def _as_frozen(code, frozen, point):
    """A point as the key holds it; what the key does not hold, as it is by now."""
    position = Position(frozen["latitude"], frozen["longitude"], frozen["elevation_m"])
    return (
        replace(point, position=position)
        if point
        else Point(code, frozen["name"], position, frozen["accuracy_m"], frozen["mark"])
    )


def _map(request, row, choices):
    return map_sheet.map_sheet(*_map_parts(row, choices), choices.sheet)


def _sheets(request, row, choices):
    answers, points = _answers(row)
    return sheets.participant_sheet(
        printable.participant_lines(answers, points),
        printable.participant_heads(row, _when(row), answers),
        choices.sheet,
        _names(row),
    )


def _names(row):
    """The people of a class, or one sheet without a name."""
    return list(row.people.order_by("name").values_list("name", flat=True)) or [""]


def _key(request, row, choices):
    answers, _ = _answers(row)
    key = queries.current_key(row)
    version = tell("version {version}", version=key.version) if key else tell("not frozen yet")
    return sheets.key_sheet(
        printable.key_lines(answers), printable.key_heads(row, _when(row), version), choices.sheet
    )


def _summaries(request, row, choices):
    people = list(row.people.order_by("name"))
    if not people or not queries.current_key(row):
        raise open_class.NotReady(tell("Nobody is in the class yet."))
    return sheets.summaries(
        printable.summaries(debrief_of(course_class=row, people=people), people, row, _when(row)),
        row.name,
        choices.sheet,
    )


def _pack(request, row, choices):
    """Map, cards and sheets in order; the key is not in it."""
    answers, points = _answers(row)
    return pack.pack(
        row.name,
        choices.sheet,
        choices.layout,
        _map_parts(row, choices),
        _card_texts(request, row),
        (
            printable.participant_lines(answers, points),
            printable.participant_heads(row, _when(row), answers),
        ),
        _names(row),
    )

"""The instructor's desk before the class: sites, points, courses."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import IntegrityError, transaction
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..domain.earth.ellipse import circle
from ..domain.surveying.survey import day_at
from ..forms.course import ClassForm, CourseForm
from ..forms.site import PointForm
from ..languages import phone_catalogue, tell, told
from ..models import Course, CourseClass, Point, Site
from ..permissions import site_of
from ..presenting import today
from ..presenting.counted import as_counted
from ..presenting.model_end import model_end_text
from ..presenting.site_page import ground_on
from ..presenting.whereabouts import point_words, where_words, zone_words
from ..usecases import check_ground, open_class, plan_course, survey_site
from ..world.towns import whereabouts
from .point_removal import removed_point
from .sight_lines import last_change

MOST_CLASSES = 500  # shown at once; the search finds the others


@require_safe
@login_required
def sites(request):
    """The day: the class that comes first, the other classes, those held by year, the sites."""
    find = request.GET.get("find", "").strip()[:80]
    classes = CourseClass.objects.of(request.user).select_related("course__site")
    everything = list(_found(classes, find)[:MOST_CLASSES])
    present, years = today.by_year(everything, find)
    own_sites = list(_counted(Site.objects.usable_by(request.user)))
    front = today.front([one for one in everything if not find])
    return render(
        request,
        "exercises/desk/sites.html",
        {
            "find": find,
            "front": front,
            "model_end": model_end_text(timezone.localdate()),
            "steps": [] if front or find or everything else today.first_steps(own_sites),
            "present": present,
            "years": years,
            "sites": [one for one in own_sites if not one.archived_at],
            "archived": [one for one in own_sites if one.archived_at],
        },
    )


def _found(classes, find):
    """Classes with their people counted; those in which a word is found, where there is one."""
    if find:
        named = Q(name__icontains=find) | Q(course__name__icontains=find)
        classes = classes.filter(named | Q(course__site__name__icontains=find))
    # who counts loses the order of the model
    counted = classes.annotate(people_count=Count("people", distinct=True))
    return counted.order_by("-date", "name", "pk")


def _counted(rows):
    """Sites with how much they hold."""
    return (
        rows.select_related("organisation")
        .annotate(
            points_count=Count("points", distinct=True),
            courses_count=Count("courses", filter=Q(courses__removed_at=None), distinct=True),
            stations_count=Count("points", filter=~Q(points__mark=""), distinct=True),
            targets_count=Count("points", filter=Q(points__is_target=True), distinct=True),
        )
        .order_by("name", "pk")
    )


def _counted_points(site):
    """The points of a site by code, with how many each sees and how often it was surveyed."""
    points = site.points.annotate(
        sees_count=Count("sees", distinct=True), surveys_count=Count("surveys", distinct=True)
    )
    return sorted(points, key=lambda point: as_counted(point.code))


def saved(form, taken):
    """Save a form; a name that is taken becomes an error of the form."""
    try:
        with transaction.atomic():
            form.save()
    except IntegrityError:
        form.add_error(None, taken)
        return False
    return True


@require_safe
@login_required
def site(request, pk):
    """A site: its map, its norths, its points and courses. The day is today's at the site unless
    the address says another.
    """
    site = site_of(request.user, pk)
    pairs = queries.visible_pairs(site)
    zone = queries.usual_time_zone(site)
    return render(
        request,
        "exercises/desk/site.html",
        {
            "site": site,
            "changed": last_change(request, site, pairs),
            "points": _counted_points(site),
            "courses": site.courses.kept()
            .annotate(tasks_count=Count("tasks"))
            .order_by("name", "pk"),
            "hazards": site.hazards.all(),
            "removed_point": removed_point(request, site),
            "catalogue": phone_catalogue(),
            "where": where_words(whereabouts(site.position())),
            "zone": zone_words(zone),
            **ground_on(
                check_ground.surroundings(site),
                site.position(),
                pairs,
                _day(request, zone),
                chosen=request.GET.get("station", ""),
            ),
        },
    )


def _day(request, zone):
    """The day that the address asks for, today at the site where it asks for none that
    there is.
    """
    today = timezone.localdate(timezone=ZoneInfo(zone))
    try:
        return parse_date(request.GET.get("on", "")) or today
    except ValueError:  # 30 February
        return today


@require_http_methods(["GET", "POST"])
@login_required
def point_edit(request, pk, code=None):
    """Add a point to a site or change it; of a new station it asks next what is seen from it."""
    site = site_of(request.user, pk)
    point = get_object_or_404(Point, site=site, code=code) if code else Point(site=site)
    form = PointForm(_sent(request), instance=point)
    is_to_be_kept = request.method == "POST" and "exchange" not in request.POST
    if (
        is_to_be_kept
        and form.is_valid()
        and _may_lose_mark(form, site, code)
        and _point_saved(request, form)
    ):
        if not point.mark:
            plan_course.set_visible(station=point, targets=[])
        messages.success(request, _point_said(site, form.instance))
        return redirect(*_after_point(form, site))
    return render(
        request,
        "exercises/desk/point.html",
        {
            "form": form,
            "site": site,
            "saved_code": code,
            "is_station": bool(form.initial["mark"]),
            "sees_count": point.sees.count() if code else 0,
            "exchanged": _exchanged_words(site, form),
        },
    )


def _may_lose_mark(form, site, code):
    """Whether a point may be stored as it was typed: its lines go with its mark, and where tasks
    ask for them, the form says so.
    """
    if form.instance.mark or not form.initial["mark"]:
        return True
    asking = dict.fromkeys(
        tell("task {number} of {course}", number=task.number, course=task.course.name)
        for (station, _), tasks in queries.tasks_along(site).items()
        for task in tasks
        if station == code
    )
    if asking:
        form.add_error(
            "mark",
            tell(
                "Lines from {code} go with its mark, and are asked for by {tasks}. Keep the mark, "
                "or take these tasks out of their course first.",
                code=code,
                tasks=", ".join(asking),
            ),
        )
    return not asking


def _after_point(form, site):
    """Where a point that was stored leads: to what it sees, if one can stand there from now on."""
    point = form.instance
    is_new_station = point.mark and "mark" in form.changed_data and not point.sees.exists()
    if is_new_station and site.points.filter(is_target=True).exclude(pk=point.pk).exists():
        return "point_lines", site.pk, point.code
    return "site", site.pk


def _sent(request):
    """What was sent of a point, with latitude and longitude exchanged where that is asked for."""
    if request.method != "POST":
        return None
    sent = request.POST.copy()
    if "exchange" in sent:
        sent["latitude"], sent["longitude"] = sent.get("longitude", ""), sent.get("latitude", "")
    return sent


def _exchanged_words(site, form):
    """Where a refused point lies once latitude and longitude are exchanged; empty where that is no
    cure.
    """
    position = form.exchanged() if form.is_bound else None
    return point_words(position, site.as_domain().points.values()) if position else ""


def _point_said(site, point):
    """A point said back: by the nearest other one."""
    others = [other.as_domain() for other in site.points.exclude(pk=point.pk)]
    place = point_words(point.as_domain().position, others)
    return tell("Point {code}: {place}", code=point.code, place=place)


def _point_saved(request, form):
    """Store a point that was typed: a new one with its first survey, a changed position as a survey
    that replaces the earlier ones.
    """
    point, now = form.instance, timezone.now()
    made = {"by": request.user, "now": now}
    day = day_at(now, point.longitude)
    try:
        with transaction.atomic():
            if point.pk:
                survey_site.change_point(point=point, is_moved=form.is_moved(), on=day, **made)
            else:
                survey = survey_site.unsaved(
                    point.as_domain().position,
                    circle(point.accuracy_m),
                    point.method,
                    measured_on=day,
                    details={"how": "typed"},
                    **made,
                )
                survey_site.new_point(point=point, survey=survey)
    except IntegrityError:
        form.add_error(
            None, tell("This site has a point of that code already. Give each point its own.")
        )
    except survey_site.CannotSurvey as error:
        form.add_error(None, told(error))
    return not form.errors


@require_http_methods(["GET", "POST"])
@login_required
def course_new(request, pk):
    """Begin a course on a site."""
    form = CourseForm(request.POST or None, instance=Course(site=site_of(request.user, pk)))
    if (
        request.method == "POST"
        and form.is_valid()
        and saved(form, tell("This site has a course of that name already."))
    ):
        return redirect("course", form.instance.pk)
    return render(
        request,
        "exercises/desk/form.html",
        {"form": form, "title": tell("New course"), "back": "sites"},
    )


def course_of(user, pk):
    """A course on a site that this instructor may use."""
    sites = Site.objects.usable_by(user)
    courses = Course.objects.kept().select_related("site")
    return get_object_or_404(courses, pk=pk, site__in=sites)


@require_POST
@login_required
def class_new(request, pk):
    """Make a class of a course."""
    course = course_of(request.user, pk)
    form = ClassForm(request.POST)
    form.instance.course = course
    if form.is_valid():
        made = open_class.create_class(course_class=form.save(commit=False), owner=request.user)
        return redirect("class", made.pk)
    return render(
        request,
        "exercises/desk/form.html",
        {"form": form, "title": tell("New class of {course}", course=course.name), "back": "sites"},
    )

"""The instructor's desk before the class: sites, points, courses."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import IntegrityError, transaction
from django.db.models import Count, ProtectedError, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from .. import queries
from ..domain.earth.ellipse import circle
from ..domain.surveying.survey import day_at
from ..forms.course import ClassForm, CourseForm
from ..forms.site import PointForm, SiteForm
from ..languages import phone_catalogue, tell, told
from ..models import Course, CourseClass, Point, Site
from ..permissions import site_of
from ..presenting import today
from ..presenting.site_page import ground_on
from ..usecases import check_ground, open_class, plan_course, survey_site

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
    return classes.annotate(people_count=Count("people", distinct=True))


def _counted(rows):
    """Sites with how much they hold."""
    return rows.select_related("organisation").annotate(
        points_count=Count("points", distinct=True),
        courses_count=Count("courses", filter=Q(courses__removed_at=None), distinct=True),
        stations_count=Count("points", filter=~Q(points__mark=""), distinct=True),
        targets_count=Count("points", filter=Q(points__is_target=True), distinct=True),
    )


@require_http_methods(["GET", "POST"])
@login_required
def site_edit(request, pk=None):
    """Make a site or change it."""
    site = site_of(request.user, pk) if pk else Site(owner=request.user)
    form = SiteForm(request.POST or None, instance=site, user=request.user)
    if (
        request.method == "POST"
        and form.is_valid()
        and _saved(form, tell("You have a site of that name already."))
    ):
        return redirect("site", form.instance.pk)
    return render(
        request,
        "exercises/desk/form.html",
        {"form": form, "title": site.name or tell("New site"), "back": "sites"},
    )


def _saved(form, taken):
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
    return render(
        request,
        "exercises/desk/site.html",
        {
            "site": site,
            "points": site.points.annotate(
                sees_count=Count("sees", distinct=True),
                surveys_count=Count("surveys", distinct=True),
            ),
            "courses": site.courses.kept().annotate(tasks_count=Count("tasks")),
            "hazards": site.hazards.all(),
            "catalogue": phone_catalogue(),
            **ground_on(
                check_ground.surroundings(site),
                site.position(),
                queries.visible_pairs(site),
                _day(request),
            ),
        },
    )


def _day(request):
    """The day that the address asks for, today where it asks for none that there is."""
    try:
        return parse_date(request.GET.get("on", "")) or timezone.localdate()
    except ValueError:  # 30 February
        return timezone.localdate()


@require_http_methods(["GET", "POST"])
@login_required
def point_edit(request, pk, code=None):
    """Add a point to a site or change it, and say what is seen from it."""
    site = site_of(request.user, pk)
    point = get_object_or_404(Point, site=site, code=code) if code else Point(site=site)
    form = PointForm(request.POST or None, instance=point)
    targets = site.points.filter(is_target=True).exclude(pk=point.pk)
    if request.method == "POST" and form.is_valid() and _point_saved(request, form):
        ticked = set(request.POST.getlist("sees")) if form.instance.mark else set()
        plan_course.set_visible(
            station=form.instance, targets=[target for target in targets if target.code in ticked]
        )
        return redirect("site", site.pk)
    seen = set(
        request.POST.getlist("sees")
        if request.method == "POST"
        else point.sees.values_list("target__code", flat=True)
        if point.pk
        else []
    )
    return render(
        request,
        "exercises/desk/point.html",
        {
            "form": form,
            "site": site,
            "saved_code": code,
            "targets": [(target, target.code in seen) for target in targets],
        },
    )


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


@require_POST
@login_required
def point_delete(request, pk, code):
    """Delete a point that no task uses."""
    point = get_object_or_404(Point, site=site_of(request.user, pk), code=code)
    try:
        point.delete()
        messages.success(request, tell("Point {code} deleted.", code=code))
    except ProtectedError:
        messages.error(
            request,
            tell(
                "Point {code} is used by a task. Take the task out of its course first.", code=code
            ),
        )
    return redirect("site", pk)


@require_http_methods(["GET", "POST"])
@login_required
def course_new(request, pk):
    """Begin a course on a site."""
    form = CourseForm(request.POST or None, instance=Course(site=site_of(request.user, pk)))
    if (
        request.method == "POST"
        and form.is_valid()
        and _saved(form, tell("This site has a course of that name already."))
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


def last_time_zone(user):
    """The time zone of the instructor's latest class, which the next one most likely shares."""
    return user.classes.order_by("-pk").values_list("time_zone", flat=True).first() or "UTC"


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

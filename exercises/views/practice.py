"""Practice at home: lessons and a compass to turn on the screen, without a class and without the
network.
"""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from ..domain.planning import home_lessons
from ..languages import told
from ..presenting.lessons.course import course, setting_words
from ..presenting.practice import everything


@require_safe
def practice(request):
    """One page that holds all lessons and tasks, for the place and the dial of its address. An
    address that names none is told so, and has the usual ones.
    """
    setting, refused = home_lessons.Setting(), ""
    try:
        setting = home_lessons.read_link(
            request.GET.get("declination", ""), request.GET.get("dial", "")
        )
    except home_lessons.BadLink as error:
        refused = told(error)
    is_own = setting != home_lessons.Setting()
    return render(
        request,
        "exercises/station/practice.html",
        {
            "lessons": course(setting),
            "practice": everything(),
            "own": setting_words(setting) if is_own else "",
            "refused": refused,
        },
    )

"""Addresses."""

from django.contrib.auth import views as auth
from django.urls import path
from django.views.i18n import set_language

from .exchange.writing import FORMATS
from .views import (
    arrange,
    class_desk,
    compasses,
    course_tasks,
    courses,
    debrief,
    desk,
    glossary,
    ground,
    hand_in,
    headcount,
    joining,
    organisations,
    paper,
    points,
    points_file,
    practice,
    prints,
    reader_lengths,
    records,
    roster,
    rotation,
    rotation_live,
    safety,
    shell,
    sight_lines,
    site_place,
    staff,
    station,
    traverse,
    trust,
)

urlpatterns = [
    path("", joining.home, name="home"),
    path(
        "sign-in/",
        auth.LoginView.as_view(template_name="exercises/desk/sign_in.html"),
        name="sign_in",
    ),
    path("sign-out/", auth.LogoutView.as_view(), name="sign_out"),
    path("sites/", desk.sites, name="sites"),
    path("sites/new/", site_place.site_edit, name="site_new"),
    path("sites/place/", site_place.place_said, name="place_said"),
    path("sites/towns/", site_place.towns_in, name="towns_in"),
    path("sites/<int:pk>/", desk.site, name="site"),
    path("sites/<int:pk>/edit/", site_place.site_edit, name="site_edit"),
    path("sites/<int:pk>/points/new/", desk.point_edit, name="point_new"),
    path("sites/<int:pk>/points/<slug:code>/", desk.point_edit, name="point_edit"),
    path("sites/<int:pk>/points/<slug:code>/delete/", desk.point_delete, name="point_delete"),
    path("sites/<int:pk>/points/<slug:code>/lines/", sight_lines.point_lines, name="point_lines"),
    path("sites/<int:pk>/points/<slug:code>/surveys/", points.point_surveys, name="point_surveys"),
    path(
        "sites/<int:pk>/points/<slug:code>/surveys/<int:survey_pk>/",
        points.survey_aside,
        name="survey_aside",
    ),
    path("sites/<int:pk>/points/<slug:code>/here/", points.point_here, name="point_here_again"),
    path("sites/<int:pk>/here/", points.point_here, name="point_here"),
    path("sites/<int:pk>/measured/", points.point_measured, name="point_measured"),
    path("sites/<int:pk>/traverse/", traverse.traverse, name="traverse"),
    path("sites/<int:pk>/import/", points_file.points_import, name="points_import"),
    *(
        path(
            f"sites/<int:pk>/points.{form}",
            points_file.points_export,
            {"form": form},
            name=f"points_{form}",
        )
        for form in FORMATS
    ),
    path("sites/<int:pk>/move/", points.points_move, name="points_move"),
    path("sites/<int:pk>/ground/", ground.ground, name="ground"),
    path("sites/<int:pk>/ground/compass/", ground.compass_noted, name="compass_noted"),
    path("sites/<int:pk>/ground/<int:row>/delete/", ground.observed_delete, name="observed_delete"),
    path("sites/<int:pk>/hazards/new/", ground.hazard_edit, name="hazard_new"),
    path("sites/<int:pk>/hazards/<int:hazard>/", ground.hazard_edit, name="hazard_edit"),
    path("sites/<int:pk>/hazards/<int:hazard>/delete/", ground.hazard_delete, name="hazard_delete"),
    path("sites/<int:pk>/over-time/", records.over_time, name="over_time"),
    path("experience/", records.own_experience, name="experience"),
    path(
        "experience/forget/",
        records.experience_change,
        {"verb": "forget"},
        name="experience_forget",
    ),
    path(
        "experience/remember/",
        records.experience_change,
        {"verb": "remember"},
        name="experience_remember",
    ),
    path("experience/readings.csv", records.nameless_csv, name="nameless_csv"),
    path("experience/causes.csv", records.counts_csv, name="counts_csv"),
    path("sites/<int:pk>/courses/new/", desk.course_new, name="course_new"),
    path("courses/<int:pk>/", course_tasks.course_edit, name="course"),
    path("courses/<int:pk>/change/", courses.course_change, name="course_change"),
    path("courses/<int:pk>/pair/", courses.course_pair, name="course_pair"),
    path("courses/<int:pk>/propose/", courses.propose, name="propose"),
    path("courses/<int:pk>/propose/take/", courses.proposal_take, name="proposal_take"),
    path("courses/<int:pk>/policies/", course_tasks.course_policies, name="course_policies"),
    path("courses/<int:pk>/shows/", course_tasks.course_shows, name="course_shows"),
    path("courses/<int:pk>/tasks/order/", course_tasks.tasks_order, name="tasks_order"),
    path("courses/<int:pk>/tasks/back/", course_tasks.task_back, name="task_back"),
    path("courses/<int:pk>/tasks/<int:number>/", course_tasks.task_edit, name="task_edit"),
    *(
        path(
            f"courses/<int:pk>/tasks/<int:number>/{verb}/",
            course_tasks.task_change,
            {"verb": verb},
            name=f"task_{verb}",
        )
        for verb in course_tasks.VERBS
    ),
    path("courses/<int:pk>/classes/new/", desk.class_new, name="class_new"),
    path("classes/<int:pk>/", class_desk.class_page, name="class"),
    path("classes/<int:pk>/arrivals/", class_desk.class_arrivals, name="class_arrivals"),
    path("classes/<int:pk>/opening/", class_desk.class_opening, name="class_opening"),
    path("classes/<int:pk>/closing/", class_desk.class_closing, name="class_closing"),
    path("classes/<int:pk>/open/", class_desk.class_change, {"verb": "open"}, name="class_open"),
    path("classes/<int:pk>/close/", class_desk.class_change, {"verb": "close"}, name="class_close"),
    path(
        "classes/<int:pk>/reopen/", class_desk.class_change, {"verb": "reopen"}, name="class_reopen"
    ),
    path(
        "classes/<int:pk>/release/",
        class_desk.class_change,
        {"verb": "release"},
        name="class_release",
    ),
    path("classes/<int:pk>/people/<int:person>/band/", class_desk.person_band, name="person_band"),
    path("sites/<int:pk>/safety/", safety.site_safety, name="site_safety"),
    path("classes/<int:pk>/emergency/", safety.emergency, name="emergency"),
    path("classes/<int:pk>/emergency.pdf", safety.emergency_pdf, name="emergency_pdf"),
    path("classes/<int:pk>/compasses/", compasses.compasses_checked, name="compasses_checked"),
    path("classes/<int:pk>/rotation/", rotation.rotation, name="rotation"),
    path("classes/<int:pk>/rotation/keep/", rotation.rotation_keep, name="rotation_keep"),
    path("classes/<int:pk>/rotation/live/", rotation_live.rotation_live, name="rotation_live"),
    path("classes/<int:pk>/rotation/clock/", rotation_live.rotation_clock, name="rotation_clock"),
    path("classes/<int:pk>/rotation/state/", rotation_live.rotation_state, name="rotation_state"),
    path("classes/<int:pk>/rotation/marks/", rotation_live.rotation_marks, name="rotation_marks"),
    path("classes/<int:pk>/rotation/again/", rotation_live.rotation_again, name="rotation_again"),
    *(
        path(f"classes/<int:pk>/rotation/<int:version>/{verb}/", view, name=f"rotation_{verb}")
        for verb, view in (
            ("start", rotation.rotation_start),
            ("end", rotation.rotation_end),
            ("helpers", rotation.rotation_helpers),
        )
    ),
    path("classes/<int:pk>/before/", safety.before_going_out, name="before_going_out"),
    path("classes/<int:pk>/before/<int:number>/", safety.check_tick, name="check_tick"),
    path("classes/<int:pk>/live/", staff.live, name="live"),
    path("classes/<int:pk>/helpers/", staff.helpers, name="helpers"),
    path(
        "classes/<int:pk>/helpers/invitations/<int:row>/withdraw/",
        staff.invitation_withdraw,
        name="invitation_withdraw",
    ),
    path("classes/<int:pk>/helpers/<int:row>/end/", staff.role_end, name="role_end"),
    path("classes/<int:pk>/roster/", roster.roster, name="roster"),
    path("classes/<int:pk>/roster/shuffle/", roster.groups_shuffle, name="groups_shuffle"),
    path(
        "classes/<int:pk>/roster/<int:person>/change/", roster.person_change, name="person_change"
    ),
    *(
        path(
            f"classes/<int:pk>/roster/<int:person>/{verb}/",
            roster.person_leaves,
            {"verb": verb},
            name=f"person_{verb}",
        )
        for verb in ("left", "back")
    ),
    path("classes/<int:pk>/roster/<int:person>/same/", roster.person_same, name="person_same"),
    path("classes/<int:pk>/roster/<int:person>/out/", roster.person_out, name="person_out"),
    path("classes/<int:pk>/headcount/", headcount.headcounts, name="headcounts"),
    path("classes/<int:pk>/headcount/<int:count>/", headcount.headcount, name="headcount"),
    path(
        "classes/<int:pk>/headcount/<int:count>/state/",
        headcount.headcount_state,
        name="headcount_state",
    ),
    path(
        "classes/<int:pk>/headcount/<int:count>/marks/",
        headcount.headcount_marks,
        name="headcount_marks",
    ),
    path("classes/<int:pk>/trail/", staff.class_trail, name="class_trail"),
    path("sites/<int:pk>/copy/", arrange.site_copy, name="site_copy"),
    path("courses/<int:pk>/copy/", arrange.course_copy, name="course_copy"),
    path("courses/<int:pk>/name/", arrange.course_name, name="course_name"),
    path("classes/<int:pk>/again/", arrange.class_again, name="class_again"),
    path("classes/<int:pk>/settings/", arrange.class_settings, name="class_settings"),
    *(
        path(
            f"{kind}s/<int:pk>/{verb}/",
            arrange.set_archived,
            {"kind": kind, "verb": verb},
            name=f"{kind}_{verb}",
        )
        for kind in ("site", "course")
        for verb in ("archive", "unarchive")
    ),
    *(
        path(address, view, {"kind": kind}, name=name)
        for kind, plural in (("site", "sites"), ("course", "courses"), ("class", "classes"))
        for address, view, name in (
            (f"{plural}/<int:pk>/remove/", arrange.remove, f"{kind}_remove"),
            (f"{plural}/<int:pk>/put-back/", arrange.put_back, f"{kind}_put_back"),
        )
    ),
    path("bin/", arrange.waste_bin, name="waste_bin"),
    path("organisations/", organisations.organisations, name="organisations"),
    *(
        path(
            f"organisations/<int:pk>/{verb}/",
            organisations.organisation_change,
            {"verb": verb},
            name=f"organisation_{verb}",
        )
        for verb in ("leave", "code", "lead", "part")
    ),
    path("sites/<int:pk>/share/", organisations.site_share, name="site_share"),
    path("sharing/<slug:code>/", organisations.organisation_join, name="organisation_join"),
    path("helping/<slug:code>/", staff.invitation, name="invitation"),
    path("classes/<int:pk>/paper/", paper.paper, name="paper"),
    path("classes/<int:pk>/print/", prints.prints, name="prints"),
    path("classes/<int:pk>/print/<slug:what>.pdf", prints.printed, name="printed"),
    path("classes/<int:pk>/key/", class_desk.class_key, name="class_key"),
    path("classes/<int:pk>/debrief/", debrief.debrief, name="debrief"),
    path("classes/<int:pk>/debrief/alone/", debrief.debrief_alone, name="debrief_alone"),
    path("classes/<int:pk>/people/", debrief.person_sheets, name="person_sheets"),
    path("classes/<int:pk>/people/<int:person>/", debrief.person_sheet, name="person_sheet"),
    path(
        "classes/<int:pk>/readings/<int:reading>/label/",
        debrief.reading_label,
        name="reading_label",
    ),
    path("classes/<int:pk>/key/correct/", debrief.key_correct, name="key_correct"),
    path("classes/<int:pk>/results.csv", class_desk.results_csv, name="results_csv"),
    path("classes/<int:pk>/results.xlsx", class_desk.results_xlsx, name="results_xlsx"),
    path("hand-in/", hand_in.hand_in, name="hand_in"),
    path("language/", set_language, name="set_language"),
    path("lengths/", reader_lengths.choose_desk_lengths, name="desk_lengths"),
    path("trust/", trust.trust, name="trust"),
    path("trust/authority.crt", trust.authority, name="authority"),
    path("practice/", practice.practice, name="practice"),
    path("words/", glossary.glossary, name="glossary"),
    path("phone/", shell.bare_page, name="bare_page"),
    path("phone-<slug:version>.css", shell.style, name="style"),
    path("<slug:name>-<slug:version>.js", shell.script, name="script"),
    path("sw.js", shell.worker, name="worker"),
    path("manifest.webmanifest", shell.manifest, name="manifest"),
    path("s/<slug:code>/", joining.card, name="card"),
    path("S/<slug:code>/", joining.card, name="card_in_capitals"),
    path("c/<slug:code>/", station.station, name="station"),
    path("c/<slug:code>/join/", joining.join, name="join"),
    path("c/<slug:code>/other-phone/", joining.other_phone, name="other_phone"),
    path("c/<slug:code>/compass/", joining.compass, name="compass"),
    path("c/<slug:code>/pace/", joining.pace, name="pace"),
    path("c/<slug:code>/lengths/", joining.lengths, name="lengths"),
    path("c/<slug:code>/mine/", station.mine, name="mine"),
    path("c/<slug:code>/state/", station.state, name="state"),
    path("c/<slug:code>/heard/", station.heard, name="heard"),
    path("c/<slug:code>/readings/", station.readings, name="readings"),
    path("c/<slug:code>/at-home/", station.at_home, name="at_home"),
]

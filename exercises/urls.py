"""Addresses."""
from django.contrib.auth import views as auth
from django.urls import path

from .views import class_desk, debrief, desk, station

urlpatterns = [
    path("", station.home, name="home"),
    path("sign-in/", auth.LoginView.as_view(template_name="exercises/desk/sign_in.html"), name="sign_in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign_out"),
    path("sites/", desk.sites, name="sites"),
    path("sites/new/", desk.site_edit, name="site_new"),
    path("sites/<int:pk>/", desk.site, name="site"),
    path("sites/<int:pk>/edit/", desk.site_edit, name="site_edit"),
    path("sites/<int:pk>/points/new/", desk.point_edit, name="point_new"),
    path("sites/<int:pk>/points/<slug:code>/", desk.point_edit, name="point_edit"),
    path("sites/<int:pk>/points/<slug:code>/delete/", desk.point_delete, name="point_delete"),
    path("sites/<int:pk>/courses/new/", desk.course_new, name="course_new"),
    path("courses/<int:pk>/", desk.course, name="course"),
    path("courses/<int:pk>/tasks/<int:number>/up/", desk.task_change, {"verb": "up"}, name="task_up"),
    path("courses/<int:pk>/tasks/<int:number>/remove/", desk.task_change, {"verb": "remove"}, name="task_remove"),
    path("courses/<int:pk>/classes/new/", desk.class_new, name="class_new"),
    path("classes/<int:pk>/", class_desk.class_page, name="class"),
    path("classes/<int:pk>/arrivals/", class_desk.class_arrivals, name="class_arrivals"),
    path("classes/<int:pk>/open/", class_desk.class_change, {"verb": "open"}, name="class_open"),
    path("classes/<int:pk>/close/", class_desk.class_change, {"verb": "close"}, name="class_close"),
    path("classes/<int:pk>/release/", class_desk.class_change, {"verb": "release"}, name="class_release"),
    path("classes/<int:pk>/people/<int:person>/band/", class_desk.person_band, name="person_band"),
    path("classes/<int:pk>/key/", class_desk.class_key, name="class_key"),
    path("classes/<int:pk>/debrief/", debrief.debrief, name="debrief"),
    path("classes/<int:pk>/results.csv", class_desk.results_csv, name="results_csv"),
    path("classes/<int:pk>/results.xlsx", class_desk.results_xlsx, name="results_xlsx"),
    path("c/<slug:code>/", station.station, name="station"),
    path("c/<slug:code>/join/", station.join, name="join"),
    path("c/<slug:code>/state/", station.state, name="state"),
    path("c/<slug:code>/readings/", station.readings, name="readings"),
]

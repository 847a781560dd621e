"""All addresses are those of the exercises."""

from django.urls import include, path

urlpatterns = [path("", include("exercises.urls"))]
handler404 = "exercises.views.errors.not_found"

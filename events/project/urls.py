"""Root addresses. The applications are named as strings, so that nothing here imports them."""

from django.urls import include, path

from events.project.api import shown
from events.project.health import health

handler400 = "events.project.errors.not_read"
handler403 = "events.project.errors.not_open"
handler404 = "events.project.errors.no_page"
handler500 = "events.project.errors.went_wrong"

urlpatterns = [
    path("health/", health, name="health"),
    path("api/", include(shown)),
    path("", include("events.urls")),
    path("", include("riders.urls")),
    path("", include("runsheets.urls")),
]

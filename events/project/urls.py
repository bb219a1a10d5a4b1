"""Root addresses. The applications are named as strings, so that nothing here imports them."""

from django.urls import include, path

urlpatterns = [
    path("", include("events.urls")),
    path("", include("riders.urls")),
    path("", include("runsheets.urls")),
]

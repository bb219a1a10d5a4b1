"""Addresses of the public pages and of the organisers' pages."""

from django.contrib.auth import views as auth
from django.urls import path

from events.views import accounts, clubs, formats, organise, public, tricks

urlpatterns = [
    path("", public.home, name="home"),
    path("tricks/", tricks.trick_list, name="trick-list"),
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign-out"),
    path("events/<slug:event>/", public.event, name="event"),
    path("events/<slug:event>/<slug:division>/", public.division, name="division"),
    path("events/<slug:event>/<slug:division>/editions/<int:number>.toml",
         public.edition_text, name="edition-text"),
    path("organise/", clubs.home, name="organise-home"),
    path("organise/clubs/new/", clubs.club_new, name="club-new"),
    path("organise/clubs/<slug:club>/people/", clubs.people, name="club-people"),
    path("organise/clubs/<slug:club>/people/<int:pk>/remove/", clubs.person_remove,
         name="club-person-remove"),
    path("organise/clubs/<slug:club>/tricks/", tricks.club_tricks, name="club-tricks"),
    path("organise/clubs/<slug:club>/tricks/<int:pk>/remove/", tricks.club_trick_remove,
         name="club-trick-remove"),
    path("organise/clubs/<slug:club>/venues/new/", clubs.venue_new, name="venue-new"),
    path("organise/venues/<int:pk>/", clubs.venue_edit, name="venue-edit"),
    path("organise/clubs/<slug:club>/events/new/", organise.event_new, name="event-new"),
    path("organise/events/<slug:slug>/", organise.event, name="event-organise"),
    path("organise/events/<slug:slug>/edit/", organise.event_edit, name="event-edit"),
    path("organise/events/<slug:slug>/public/", organise.event_public, name="event-public"),
    path("organise/events/<slug:slug>/divisions/new/", organise.division_new,
         name="division-new"),
    path("organise/divisions/<int:pk>/", organise.division_edit, name="division-edit"),
    path("organise/divisions/<int:pk>/format/", formats.edit, name="format-edit"),
    path("organise/divisions/<int:pk>/format/strip/", formats.strip, name="format-strip"),
    path("organise/divisions/<int:pk>/format/preview/", formats.preview,
         name="format-preview"),
    path("organise/divisions/<int:pk>/format/publish/", formats.publish,
         name="format-publish"),
    path("organise/divisions/<int:pk>/format/start/", formats.start, name="format-start"),
    path("organise/divisions/<int:pk>/format/text/", formats.text, name="format-text"),
]  # fmt: skip

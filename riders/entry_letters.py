"""Letters to riders about their entries."""

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from events.languages import languages_of
from events.post import draft, links_for, send_all
from events.rules.language import mark
from riders.entry_conditions import entries_window, state_said
from riders.models import Entry
from riders.services import say_when

SUBJECTS = {
    "entered": mark("You are entered: {event}"),
    "promoted": mark("You have a place: {event}"),
}
WAITS = mark("You are on the waiting list: {event}")


def write_letters(kind: str, entries: Sequence[tuple[Entry, int | None]]) -> None:
    """Write to each rider, in their language, that they are entered or promoted, by the same
    few queries.

    The entries are stored, and each comes with its number on the waiting list, None for one
    that has a place.
    """
    paths = [
        reverse("plan", args=[entry.pk]) if entry.division.edition else reverse("riding-home")
        for entry, _place in entries
    ]
    users = [entry.rider.user for entry, _place in entries]
    languages = languages_of(user.pk for user in users)
    links = links_for(list(zip(users, paths, strict=True)))
    letters = []
    for (entry, place), user, link in zip(entries, users, links, strict=True):
        event = entry.division.event
        with translation.override(languages.get(user.pk, settings.LANGUAGE_CODE)):
            subject = _(SUBJECTS[kind] if place is None else WAITS).format(event=event.name)
            told = _told(kind, entry, place, link)
            text = render_to_string("riders/mail/entry.txt", told)
        letters.append(
            draft(
                to=user.email,
                subject=subject,
                text=text,
                event=event,
                about=_("Entry"),
                dedupe=f"{kind}-{entry.pk}-{entry.entered_at.isoformat()}",
                person=user,
            )
        )
    send_all(letters)


def _told(kind: str, entry: Entry, place: int | None, link: str) -> dict[str, Any]:
    division = entry.division
    return {
        "entry": entry,
        "rider": entry.rider,
        "division": division,
        "event": division.event,
        "state": state_said(place),
        "has_place": place is None,
        "kind": kind,
        "deadline": say_when(division.deadline(), division.event),
        "closes": say_when(entries_window(division).closes, division.event),
        "link": link,
    }

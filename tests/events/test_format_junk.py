"""Junk in the organisers' forms: every answer is a page with a sentence."""

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from events.forms.format_editor import FormatEditor
from events.rules.loading import as_data, try_format
from events.strips import format_strip
from tests.events.editor_page import Posted
from tests.factories import (
    DivisionFactory,
    EventFactory,
    OfficialFactory,
)

pytestmark = pytest.mark.django_db


NAMES = sorted({
    "name", "passes-count", "passes-length_m", "passes-seconds", "falls-allowed",
    "falls-restart_m", "repeats-differs_by", "boat-speed", "boat-ballast-count",
    "boat-ballast-stated", "boat-ballast-0-amount", "boat-ballast-row", "limits-count",
    "limits-stated", "limits-0-most", "limits-0-when-family", "limits-0-when-more",
    "limits-1-when-rotation_over", "limits-row", "double_ups-count", "double_ups-stated",
    "double_ups-0-cutoff_m", "double_ups-0-after_pass", "double_ups-0-cutoff_fraction",
    "pickup_cutoffs-count", "pickup_cutoffs-0-pass", "clock-declare_by", "division-age_date",
    "judging-criteria-0-weight", "judging-criteria-count", "rounds-count", "rounds-0-name",
    "overrides", "do", "junk", "limits--1-most", "limits-²-most",
})  # fmt: skip
VALUES = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["1", "2", "0", "-1", "12", "300", "1e308", "nan", "inf", "²", "٣", "\x00", "400, x",
         "yes", "no", "listed", "none", "add", "up-2", "remove-1", "down-1", "36 km/h",
         "9999999999999999999999 kg", "2027-06-12T18:00", "2027-13-40", "0000-00-00",
         "any_of = [{}]", "unless = {unless = {unless = {}}}", "any_of = 1979-05-27",
         '[[overrides]]\nwhen = {round = "a"}\nset = {"a.b.c" = 1}', "overrides = 07:32:00",
         '[[overrides]]\nwhen = {round = "a"}\nset = {limits = [{most = 1e400}]}',
         '[[overrides]]\nwhen = {round = "a"}\nset = {falls = {restart_m = nan}}',
         f'[[overrides]]\nwhen = {{round = "a"}}\nset = {{falls = {{allowed = {"9" * 400}}}}}',
         "save", "check", "spin", "first of both"],
    ),
)  # fmt: skip


POSTS = st.dictionaries(st.sampled_from(NAMES), st.lists(VALUES, max_size=3), max_size=14)


@given(POSTS)
def test_junk_is_read_as_far_as_it_goes(sent: Posted) -> None:
    """Whatever is posted, the editor reads it or names its faults, and draws the course."""
    posted = QueryDict(mutable=True)
    for name, values in sent.items():
        posted.setlist(name, values)
    editor = FormatEditor(posted, division="Open")
    holds = editor.check()
    assert holds == (not editor.faults)
    assert "<svg" in format_strip(editor.format)
    if holds:
        assert try_format(as_data(editor.format)) == (editor.format, [])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20)
@given(POSTS)
def test_junk_is_answered_and_never_breaks(client: Client, sent: Posted) -> None:
    """Whatever is posted, the page, the strip and the preview answer."""
    division = DivisionFactory()
    client.force_login(OfficialFactory(club=division.event.club).user)
    for name in ("format-edit", "format-strip"):
        address = reverse(name, args=[division.pk])
        assert client.post(address, sent).status_code in (200, 302)
    assert client.get(reverse("format-preview", args=[division.pk])).status_code == 200


EVENT_FIELDS = ["name", "venue", "first_day", "last_day", "time_zone", "entries_close",
                "declare_by"]  # fmt: skip
EXTREMES = ["9999-12-31", "9999-12-31T23:59", "0001-01-01T00:00", "Etc/GMT+12"]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(st.dictionaries(st.sampled_from(EVENT_FIELDS), VALUES | st.sampled_from(EXTREMES)))
def test_junk_in_an_event_is_answered(client: Client, sent: dict[str, str]) -> None:
    """The event form never breaks."""
    event = EventFactory()
    client.force_login(OfficialFactory(club=event.club).user)
    address = reverse("event-new", args=[event.club.slug])
    valid = {"name": "Cup", "venue": event.venue.pk, "first_day": "2999-07-04",
             "last_day": "2999-07-04", "time_zone": "Europe/Zurich",
             "entries_close": "2999-07-01T10:00", "declare_by": "2999-07-02T10:00",
             "adult_age": "18"}  # fmt: skip
    assert client.post(address, valid | sent).status_code in (200, 302)


def test_a_post_beyond_all_bounds_is_refused_with_a_sentence(client: Client) -> None:
    """Thousands of rows are neither read nor a fault of the site."""
    division = DivisionFactory(draft={"passes": {"count": 2}})
    client.force_login(OfficialFactory(club=division.event.club).user)
    rows = {f"limits-{n}-most": "1" for n in range(20_100)}
    response = client.post(reverse("format-edit", args=[division.pk]), rows)
    assert response.status_code == 400
    assert "send fewer rows" in response.content.decode()
    division.refresh_from_db()
    assert division.draft == {"passes": {"count": 2}}

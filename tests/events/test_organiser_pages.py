"""Pages of organisers: clubs, venues, events and divisions."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from events.models import Club, Division, Event, Official, Venue
from tests.events.markup import assert_labelled, page, queries_of, text_of
from tests.factories import (
    PASSWORD,
    DivisionFactory,
    EventFactory,
    OfficialFactory,
    UserFactory,
    VenueFactory,
)

pytestmark = pytest.mark.django_db

SUMMER = date(datetime.now(tz=UTC).year + 1, 7, 4)


@pytest.fixture
def event() -> Event:
    """An event with a division."""
    found: Event = DivisionFactory().event
    return found


@pytest.fixture
def organiser(event: Event, client: Client) -> User:
    """An organiser of the event, signed in."""
    user: User = OfficialFactory(club=event.club).user
    client.force_login(user)
    return user


def typed(event: Event, **changes: object) -> dict[str, object]:
    """What an organiser types for an event in July."""
    fields: dict[str, object] = {
        "name": "Alder Cup",
        "venue": event.venue.pk,
        "first_day": SUMMER.isoformat(),
        "last_day": (SUMMER + timedelta(days=1)).isoformat(),
        "time_zone": "Europe/Zurich",
        "entries_close": f"{SUMMER - timedelta(days=9)}T18:00",
        "declare_by": f"{SUMMER - timedelta(days=1)}T20:30",
        "adult_age": "18",
    }
    return fields | changes


def addresses(event: Event) -> list[str]:
    """Every page that only the club's organisers may see."""
    division = event.divisions.get()
    club, slug = event.club.slug, event.slug
    pages = [
        ("club-people", club),
        ("venue-new", club),
        ("venue-edit", event.venue.pk),
        ("event-new", club),
        ("event-organise", slug),
        ("event-edit", slug),
        ("division-new", slug),
        ("division-edit", division.pk),
        ("format-edit", division.pk),
        ("format-preview", division.pk),
        ("format-text", division.pk),
    ]
    return [reverse(name, args=[key]) for name, key in pages]


def test_organisers_pages_are_for_organisers_of_the_club(client: Client, event: Event) -> None:
    """Others sign in first; a rider, the table and another club's organiser get 403."""
    for address in addresses(event):
        assert client.get(address)["Location"].startswith(reverse("sign-in"))
    table = OfficialFactory(club=event.club, role=Official.Role.TABLE).user
    for user in (UserFactory(), table, OfficialFactory().user):
        client.force_login(user)
        for address in addresses(event):
            page(client, address, status=403)
    client.force_login(OfficialFactory(club=event.club).user)
    for address in addresses(event):
        assert_labelled(page(client, address))


@pytest.mark.parametrize(
    ("name", "by"),
    [
        ("event-public", "slug"),
        ("format-publish", "pk"),
        ("format-start", "pk"),
        ("format-strip", "pk"),
    ],
)
def test_what_changes_things_is_posted_by_organisers(
    client: Client, event: Event, name: str, by: str
) -> None:
    """Reading such an address does nothing, and others may not post to it."""
    key = event.slug if by == "slug" else event.divisions.get().pk
    address = reverse(name, args=[key])
    client.force_login(OfficialFactory().user)
    assert client.post(address).status_code == 403
    client.force_login(OfficialFactory(club=event.club).user)
    assert client.get(address).status_code == 405


def test_anybody_signed_in_may_make_a_club(client: Client) -> None:
    """And organises it from then on."""
    user = UserFactory()
    client.force_login(user)
    assert "You organise no club yet." in page(client, reverse("organise-home"))
    response = client.post(reverse("club-new"), {"name": "Alder Bay"}, follow=True)
    assert "Alder Bay is made" in text_of(response.content.decode())
    club = Club.objects.get()
    assert club.slug == "alder-bay"
    assert club.officials.get().user == user
    assert club.acts.get().user == user


def test_a_club_of_the_same_name_is_refused(client: Client) -> None:
    """With what to do instead, and the name still there."""
    club = OfficialFactory().club
    client.force_login(UserFactory())
    html = client.post(reverse("club-new"), {"name": club.name}).content.decode()
    assert "ask its organisers to add you" in html
    assert f'value="{club.name}"' in html


def test_a_venue_is_added_and_changed(client: Client, event: Event, organiser: User) -> None:
    """Metres are whole and within bounds; a second venue of the name is refused."""
    address = reverse("venue-new", args=[event.club.slug])
    for wrong in ("12", "six hundred", "9999999"):
        html = client.post(address, {"name": "Mill Pond", "course_m": wrong}).content.decode()
        assert f'value="{wrong}"' in html
        assert "field-error" in html
    client.post(address, {"name": "Mill Pond", "course_m": "350"})
    venue = Venue.objects.get(name="Mill Pond")
    assert (venue.club, venue.course_m) == (event.club, 350)
    again = client.post(address, {"name": "mill pond", "course_m": "350"}).content.decode()
    assert "has a venue of this name already" in again
    client.post(
        reverse("venue-edit", args=[venue.pk]), {"name": "Mill Pond", "course_m": "360"}
    )
    venue.refresh_from_db()
    assert venue.course_m == 360
    assert [act.what for act in event.club.acts.all()] == [
        "Changed the venue Mill Pond.",
        "Added the venue Mill Pond.",
    ]


def test_times_are_typed_in_the_lake_s_zone(
    client: Client, event: Event, organiser: User
) -> None:
    """18:00 at a lake in Zurich's zone in June is 16:00 UTC, and is shown as 18:00 again."""
    client.post(reverse("event-new", args=[event.club.slug]), typed(event))
    made = Event.objects.get(name="Alder Cup")
    assert made.slug == "alder-cup"
    assert made.entries_close.astimezone(UTC).hour == 16
    assert made.entries_close.astimezone(ZoneInfo("Europe/Zurich")).hour == 18
    assert not made.is_public
    html = page(client, reverse("event-edit", args=[made.slug]))
    assert f'value="{SUMMER - timedelta(days=9)}T18:00"' in html
    assert f'value="{SUMMER - timedelta(days=1)}T20:30"' in html


def test_moving_the_zone_moves_the_times(client: Client, event: Event, organiser: User) -> None:
    """The hour that was typed stays; the moment it means goes with the lake."""
    changes = typed(event, time_zone="America/Denver")
    client.post(reverse("event-edit", args=[event.slug]), changes)
    event.refresh_from_db()
    assert event.entries_close.astimezone(UTC).hour == 0  # 18:00 in UTC-6


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"entries_close": "2020-05-01T10:00"}, "1 May 2020, 10:00 lies in the past"),
        ({"declare_by": "2020-05-01T10:00"}, "1 May 2020, 10:00 lies in the past"),
        ({"last_day": f"{SUMMER - timedelta(days=1)}"}, "lies before the first day"),
        ({"declare_by": f"{SUMMER + timedelta(days=2)}T00:30"}, "after the last day"),
        ({"time_zone": "Lake/Nowhere"}, "Lake/Nowhere is not a time zone"),
        ({"entries_close": "next week"}, "Enter a valid date/time."),
        ({"first_day": ""}, "This field is required."),
        ({"name": ""}, "This field is required."),
        ({"venue": "999999"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(
    client: Client, event: Event, organiser: User, changes: dict[str, str], sentence: str
) -> None:
    """The sentence stands beside the field, and all that was typed is still there."""
    data = typed(event, **changes)
    address = reverse("event-new", args=[event.club.slug])
    response = client.post(address, data)
    html = response.content.decode()
    assert response.status_code == 200
    assert sentence in text_of(html)
    assert html.count('class="field-error"') == 1
    for name, value in data.items():
        if value and name != "venue":
            assert f'value="{value}"' in html
    assert Event.objects.count() == 1
    assert_labelled(html)


def test_late_entries_are_a_warning_only(client: Client, event: Event, organiser: User) -> None:
    """An organiser may want them; the page says what follows."""
    data = typed(event, entries_close=f"{SUMMER}T08:00")
    address = reverse("event-new", args=[event.club.slug])
    words = text_of(client.post(address, data, follow=True).content.decode())
    assert "late entries could not declare" in words
    assert Event.objects.filter(name="Alder Cup").exists()


def test_a_venue_of_another_club_is_no_choice(
    client: Client, event: Event, organiser: User
) -> None:
    """Not listed, and refused when posted."""
    other = VenueFactory(name="Elsewhere")
    address = reverse("event-new", args=[event.club.slug])
    assert "Elsewhere" not in page(client, address)
    html = client.post(address, typed(event, venue=other.pk)).content.decode()
    assert "Select a valid choice." in html


def test_an_event_needs_a_venue_first(client: Client) -> None:
    """The way leads to the form for the lake."""
    club = OfficialFactory().club
    client.force_login(club.officials.get().user)
    response = client.get(reverse("event-new", args=[club.slug]), follow=True)
    assert "add the lake first" in text_of(response.content.decode())
    assert response.redirect_chain[-1][0] == reverse("venue-new", args=[club.slug])


def test_past_deadlines_may_stay_when_an_event_is_changed(
    client: Client, event: Event, organiser: User
) -> None:
    """Renaming after the entries closed is not refused."""
    data = typed(event, entries_close="2020-05-01T10:00")
    assert client.post(reverse("event-edit", args=[event.slug]), data).status_code == 302


def test_opening_and_hiding_an_event(client: Client, event: Event, organiser: User) -> None:
    """One button, both ways, in the audit trail."""
    address = reverse("event-public", args=[event.slug])
    for public in ("no", "yes"):
        words = text_of(client.post(address, {"public": public}, follow=True).content.decode())
        event.refresh_from_db()
        assert event.is_public == (public == "yes")
    assert "is open to everybody" in words
    assert "Opened the event to everybody." in words


def test_a_division_is_made_with_the_venue_s_length(
    client: Client, event: Event, organiser: User
) -> None:
    """The editor opens next, with the course length filled in."""
    address = reverse("division-new", args=[event.slug])
    response = client.post(address, {"name": "Juniors", "place": "2"}, follow=True)
    division = Division.objects.get(name="Juniors")
    assert response.redirect_chain[-1][0] == reverse("format-edit", args=[division.pk])
    assert 'name="passes-length_m" value="400"' in response.content.decode()
    again = client.post(address, {"name": "juniors", "place": "3"}).content.decode()
    assert "has a division of this name already" in again
    client.post(reverse("division-edit", args=[division.pk]), {"name": "Youth", "place": "1"})
    division.refresh_from_db()
    assert (division.name, division.slug) == ("Youth", "juniors")


def test_roles_are_given_by_user_name(client: Client, event: Event, organiser: User) -> None:
    """To people who have an account, once each."""
    address = reverse("club-people", args=[event.club.slug])
    person = UserFactory(username="minna")
    nobody = client.post(address, {"username": "ghost", "role": "table"}).content.decode()
    assert "Nobody has this user name" in nobody
    assert 'value="ghost"' in nobody
    client.post(address, {"username": "minna", "role": "table"})
    assert event.club.officials.get(user=person).role == "table"
    again = client.post(address, {"username": "minna", "role": "table"}).content.decode()
    assert "has the role already" in again


def test_organisers_pages_take_the_same_queries_for_few_and_many(
    client: Client,
    event: Event,
    organiser: User,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    """Twenty events or divisions ask no more than two."""
    DivisionFactory(event=event)
    EventFactory(club=event.club, venue=event.venue)
    pages = [
        reverse("organise-home"),
        reverse("event-organise", args=[event.slug]),
        reverse("format-edit", args=[event.divisions.first().pk]),
    ]
    counts = [queries_of(client, address) for address in pages]
    DivisionFactory.create_batch(18, event=event)
    EventFactory.create_batch(18, club=event.club, venue=event.venue)
    for address, count in zip(pages, counts, strict=True):
        with django_assert_max_num_queries(count):
            page(client, address)


def test_pages_know_the_offices_of_the_user(
    client: Client, event: Event, organiser: User
) -> None:
    """The menu can tell who organises; visitors hold no office and cost no query."""
    assert set(client.get(reverse("home")).context["offices"]) == {"organiser"}
    client.logout()
    assert set(client.get(reverse("home")).context["offices"]) == set()


def test_a_role_is_taken_away_but_never_the_last_organiser(
    client: Client, event: Event, organiser: User
) -> None:
    """A club keeps somebody who can open its pages."""
    client.force_login(organiser)
    table = OfficialFactory(club=event.club, role=Official.Role.TABLE)
    own = Official.objects.get(club=event.club, user=organiser)

    client.post(reverse("club-person-remove", args=[event.club.slug, table.pk]))
    page = client.post(
        reverse("club-person-remove", args=[event.club.slug, own.pk]), follow=True
    )

    assert list(event.club.officials.all()) == [own]
    assert "A club keeps at least one organiser" in page.content.decode()


def test_an_address_typed_with_capitals_signs_in(client: Client, db: None) -> None:
    """Addresses are kept in lower case, however they are typed."""
    UserFactory(username="ada.q@example.org")
    data = {"username": "Ada.Q@Example.org", "password": PASSWORD}

    assert client.post(reverse("sign-in"), data).status_code == 302

"""The pages that everybody can read."""

import re
import tomllib
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from events.models import Division, Event, Official
from events.rules.loading import as_data, load_format
from events.rules.vocabulary import standard_vocabulary
from events.services import publish_edition, save_draft
from events.starts import EXAMPLES, example_formats
from riders.models import Declaration
from tests.events.markup import assert_labelled, page, queries_of, text_of
from tests.factories import (
    PASSWORD,
    ClubFactory,
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


def published(key: str = "club-day-intermediate", **fields: object) -> Division:
    """A division with an example format in force."""
    division = DivisionFactory(draft=as_data(example_formats()[key]), **fields)
    publish_edition(division=division, by=UserFactory())
    return Division.objects.get(pk=division.pk)


def organiser_of(event: Event) -> User:
    """Somebody who organises the event."""
    user: User = OfficialFactory(club=event.club).user
    return user


def test_home_lists_public_events_by_time(client: Client) -> None:
    """Upcoming events come apart from past ones, and hidden ones not at all."""
    day = timezone.localdate()
    EventFactory(name="Next Cup")
    EventFactory(name="Old Cup", first_day=day - timedelta(days=9))
    EventFactory(name="Hidden Cup", is_public=False)
    words = text_of(page(client, reverse("home")))
    assert words.index("Coming up") < words.index("Next Cup") < words.index("Old Cup")
    assert "Hidden Cup" not in words


def test_an_event_page_tells_venue_and_deadlines_in_the_lake_s_time(client: Client) -> None:
    """Noon in UTC is one o'clock in Zurich in winter and two in summer."""
    event = EventFactory()
    words = text_of(page(client, event.get_absolute_url()))
    local = event.entries_close.astimezone(event.zone)
    assert f"{local:%H:%M}" in ("13:00", "14:00")
    assert f"{local.day} {local:%B %Y}, {local:%H:%M}" in words
    assert "400 m from the start marker" in words
    assert "The blue dock" in words
    assert "Europe/Zurich" in words


def test_a_hidden_event_is_there_for_its_organisers_alone(client: Client) -> None:
    """Everybody else gets 404: riders, the club's table, organisers of another club."""
    division = published(event=EventFactory(is_public=False))
    event = division.event
    addresses = [
        event.get_absolute_url(),
        division.get_absolute_url(),
        reverse("edition-text", args=[event.slug, division.slug, 1]),
    ]
    table = OfficialFactory(club=event.club, role=Official.Role.TABLE).user
    for user in (None, UserFactory(), OfficialFactory().user, table):
        client.logout()
        if user:
            client.force_login(user)
        for address in addresses:
            page(client, address, status=404)
    client.force_login(organiser_of(event))
    for address in addresses:
        page(client, address)


def test_a_division_without_rules_says_so(client: Client) -> None:
    """A clear note stands where the rules will be."""
    division = DivisionFactory()
    words = text_of(page(client, division.get_absolute_url()))
    assert "The rules of this division are not published yet." in words
    assert "Enter this division" in words


def test_a_draft_is_never_public(client: Client) -> None:
    """What is typed after publishing stays with the organisers."""
    division = published()
    draft = load_format("[falls]\nallowed = 9")
    save_draft(division=division, format=draft, by=UserFactory())
    words = text_of(page(client, division.get_absolute_url()))
    assert "One fall allowed: the second ends your run." in words
    assert "ine falls" not in words


def test_the_rules_stand_as_questions_and_answers(client: Client) -> None:
    """Falls both ways, the markers, the limits in the organiser's words, and gaps named."""
    html = page(client, published().get_absolute_url())
    words = text_of(html)
    assert "One fall allowed: the second ends your run." in words
    assert "At most two inverts" in words
    assert "Backside spins no further than 180" in words
    assert "not stated: ask the organiser" in words
    assert 'class="answer answer--unstated"' in html
    assert "Edition 1" in words
    assert "capacity plate" in words
    assert "guardian" in words
    assert "Local law" in words


def test_the_course_is_drawn_to_scale_with_its_markers(client: Client) -> None:
    """A marker at 300 of 400 m lies at three quarters of the drawn water."""
    html = page(client, published().get_absolute_url())
    svg = html[html.index('<svg class="course-strip"') :]
    water = re.search(r'strip-water" x="([\d.]+)%"[^>]*width="([\d.]+)%"', svg)
    assert water
    left, width = map(float, water.groups())
    for kind in ("cutoff", "no-pickup"):
        symbol = re.search(rf'strip-symbol--{kind}" x="([\d.]+)%"', svg)
        assert symbol
        assert (float(symbol[1]) - left) / width == pytest.approx(300 / 400, abs=0.001)
    assert svg.count("strip-tick--expected") == 2 * 5


def test_a_round_is_chosen_in_the_address(client: Client) -> None:
    """The final of the advanced example allows one fall, the first round two."""
    division = published("advanced-markers")
    address = division.get_absolute_url()
    first, final = (
        text_of(page(client, address)),
        text_of(page(client, f"{address}?round=Final")),
    )
    assert "Two falls allowed: the third ends your run." in first
    assert 'In the round "Final"' in first  # the exception is listed in any round
    assert "One fall allowed: the second ends your run." in final.split("Your run")[1]
    junk = text_of(page(client, f"{address}?round=<script>"))
    assert "Two falls allowed: the third ends your run." in junk
    assert (
        "<script>" not in page(client, f"{address}?round=<script>alert(1)").split("</head>")[1]
    )


def test_earlier_editions_are_listed_with_their_differences(client: Client) -> None:
    """What changed stands with the edition that changed it."""
    division, user = published(), UserFactory()
    changed = load_format(
        (EXAMPLES / "club-day-intermediate.toml")
        .read_text()
        .replace("allowed = 1", "allowed = 2")
    )
    save_draft(division=division, format=changed, by=user)
    publish_edition(division=division, by=user)
    words = text_of(page(client, division.get_absolute_url()))
    assert "Edition 2 In force" in words
    assert "Two falls allowed: the third ends your run." in words.split("Editions of")[1]
    assert "The first edition." in words


def test_an_edition_downloads_as_toml_that_reads_the_same(client: Client) -> None:
    """The file is the published format, unchanged."""
    division = published()
    address = reverse("edition-text", args=[division.event.slug, division.slug, 1])
    response = client.get(address)
    assert response["Content-Type"].startswith("application/toml")
    assert "attachment" in response["Content-Disposition"]
    assert load_format(response.content.decode()) == division.edition.format
    assert tomllib.loads(response.content.decode())["name"] == "Club day, intermediate"
    page(client, address.replace("1.toml", "2.toml"), status=404)


def test_entering_is_offered_only_while_entries_are_open(client: Client) -> None:
    """The button leads to the entry of this very division."""
    division = published()
    button = f'href="{reverse("enter", args=[division.pk])}"'
    assert button in page(client, division.get_absolute_url())
    Event.objects.update(entries_close=timezone.now() - timedelta(minutes=1))
    html = page(client, division.get_absolute_url())
    assert button not in html
    assert "Entries are closed." in html


@pytest.mark.parametrize("key", sorted(example_formats()))
def test_every_example_format_can_be_shown(client: Client, key: str) -> None:
    """Each shows its course and its answers in each of its rounds."""
    division = published(key)
    for name in ("", *division.edition.round_names):
        html = page(client, f"{division.get_absolute_url()}?round={name}")
        assert 'class="course-strip"' in html
        assert html.count("<h1") == 1


def test_an_edition_that_states_nothing_is_shown(client: Client) -> None:
    """A page of "not stated", with a course of no stated length."""
    division = EditionFactory(data={}).division
    words = text_of(page(client, division.get_absolute_url()))
    assert "length not stated" in words


def test_tricks_are_listed_with_what_their_words_mean(client: Client) -> None:
    """The whole vocabulary, and that tiers are a judgement of our own."""
    words = text_of(page(client, reverse("trick-list")))
    count = len(standard_vocabulary().tricks)
    assert f"{count} of {count} tricks" in words
    assert "our own judgement" in words


@pytest.mark.parametrize(
    ("query", "named"),
    [
        ("name=tanTRum", lambda t: "tantrum" in " ".join((t.name, *t.aliases)).casefold()),
        ("family=backroll", lambda t: t.family == "backroll"),
        (
            "approach=toeside&rotation=180",
            lambda t: t.approach == "toeside" and t.rotation == 180,
        ),
        ("invert=no&direction=backside", lambda t: not t.invert and t.direction == "backside"),
    ],
)
def test_tricks_are_filtered_by_the_address(client: Client, query: str, named: object) -> None:
    """Each filter keeps the tricks that have the attribute, and no other."""
    asked = [trick.name for trick in standard_vocabulary().tricks if named(trick)]  # type: ignore[operator]
    assert asked
    response = client.get(f"{reverse('trick-list')}?{query}")
    assert [trick.name for trick in response.context["tricks"]] == asked


def test_a_filter_that_cannot_be_read_shows_everything(client: Client) -> None:
    """A mistyped address is answered with its faults and the whole list."""
    response = client.get(f"{reverse('trick-list')}?family=submarine&rotation=many")
    assert response.status_code == 200
    assert len(response.context["tricks"]) == len(standard_vocabulary().tricks)


def test_nothing_like_it_is_said_in_words(client: Client) -> None:
    """An empty list says what to do."""
    html = page(client, f"{reverse('trick-list')}?name=zzzz")
    assert "Take one of the filters away." in html


def test_signing_in_and_out(client: Client) -> None:
    """The form leads back to where the visitor wanted to go; leaving is a POST."""
    user = UserFactory()
    address = f"{reverse('sign-in')}?next={reverse('organise-home')}"
    wrong = client.post(address, {"username": user.username, "password": "no"})
    assert wrong.status_code == 200
    assert f'value="{user.username}"' in wrong.content.decode()
    right = client.post(address, {"username": user.username, "password": PASSWORD})
    assert right["Location"] == reverse("organise-home")
    assert client.get(reverse("sign-out")).status_code == 405
    assert client.post(reverse("sign-out"))["Location"] == reverse("home")


def test_pages_take_the_same_queries_for_few_and_many(
    client: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """Home with 20 events and an event with 20 divisions ask no more than with two."""
    event = EventFactory()
    editions = [EditionFactory(division__event=event) for _ in range(2)]
    EventFactory.create_batch(2)
    addresses = [reverse("home"), event.get_absolute_url(),
                 editions[0].division.get_absolute_url()]  # fmt: skip
    counts = [queries_of(client, address) for address in addresses]
    EditionFactory.create_batch(18, division__event=event)
    EventFactory.create_batch(18, club=ClubFactory())
    for address, count in zip(addresses, counts, strict=True):
        with django_assert_max_num_queries(count):
            page(client, address)


@pytest.mark.parametrize("name", ["home", "trick-list", "sign-in"])
def test_pages_have_one_heading_and_a_label_for_each_input(client: Client, name: str) -> None:
    """What a screen reader needs first."""
    assert_labelled(page(client, reverse(name)))


def test_a_declared_run_is_not_shown(client: Client) -> None:
    """Neither the rider's page nor the organisers' view of it tells what was declared."""
    division = published()
    Declaration.objects.create(
        entry=EntryFactory(division=division),
        number=1,
        edition=division.edition,
        notation="HS secretroll",
        tricks=[],
        check_result={},
    )
    for user in (None, UserFactory(), organiser_of(division.event)):
        if user:
            client.force_login(user)
        for address in (division.get_absolute_url(), division.event.get_absolute_url()):
            assert "secretroll" not in page(client, address)

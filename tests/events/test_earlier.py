"""An event started from an earlier one of the club: shown line by line, made whole, once."""

from datetime import date, datetime, timedelta
from unittest.mock import patch
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from events.models import Act, Club, ClubTrick, Division, Event, Letter, Official
from riders.models import Entry
from tests.events.earlier_year import (
    AFTER,
    BEFORE,
    NAME,
    RULES,
    YEAR,
    choose,
    confirm,
    counts,
    last_year,
    organised,
    organiser_of,
    shown,
)
from tests.events.markup import assert_labelled, page, text_of
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    OfficialFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def event(client):
    return organised(client)


def test_the_preview_says_everything_and_writes_nothing(client, event):
    ClubTrick.objects.create(
        club=event.club, name="Otter roll", family="tantrum", approach="heelside"
    )
    before = counts()
    answer, text = shown(client, event)

    assert counts() == before
    assert_labelled(answer.content.decode())
    assert f"{NAME} Taken over from Reed Cup {YEAR - 1}" in text
    assert "One event and two divisions would be made." in text
    assert (
        "Division Advanced made, its format as a draft; entry fee 40 francs edition 1, published"
        in text
    )
    assert (
        "Division First time made, its format as a draft its draft; nothing was published"
        in text
    )
    assert "Otter roll" in text
    assert "All dates move by 728 days and keep their day of the week" in text
    assert "Advanced: Age on the date" in text
    assert f"30 June {AFTER.year}" in text
    assert "At most two inverts" in text
    assert "Everything in the formats reads." in text


def test_what_is_made(client, event):
    answer, _ = shown(client, event)
    done = confirm(client, event.club, answer.context["sealed"])

    made = Event.objects.get(name=NAME)
    assert done.url == reverse("event-organise", args=[made.slug])
    assert (made.first_day, made.last_day) == (AFTER, AFTER + timedelta(days=1))
    assert (made.venue, made.adult_age, made.is_public) == (event.venue, 16, False)
    zone = ZoneInfo("Europe/Zurich")
    close = BEFORE.replace(month=6, day=20) + timedelta(days=728)
    assert made.entries_close == datetime(close.year, close.month, close.day, 18, tzinfo=zone)
    advanced, first = made.divisions.all()
    assert [advanced.name, advanced.fee, advanced.place] == ["Advanced", "40 francs", 1]
    assert advanced.draft["clock"]["declare_by"].startswith(str(BEFORE + timedelta(days=727)))
    assert advanced.draft["division"]["age_date"] == f"{AFTER.year}-06-30"
    assert advanced.draft["limits"][0]["most"] == 2
    assert first.draft == {"passes": {"count": 1}}
    assert advanced.edition is None
    assert Entry.objects.count() == Letter.objects.count() == 0
    assert (
        Act.objects.filter(
            event=made,
            what__contains=f"Took over from Reed Cup {YEAR - 1}",
            user=organiser_of(event),
        )
        .get()
        .what.endswith("2 divisions with drafts, dates moved by 728 days.")
    )


def test_done_twice_doubles_nothing(client, event):
    answer, _ = shown(client, event)
    confirm(client, event.club, answer.context["sealed"])
    after = counts()
    again = confirm(client, event.club, answer.context["sealed"])

    assert counts() == after
    assert "nothing was doubled" in text_of(client.get(again.url).content.decode())
    _, text = shown(client, event)
    assert "Everything is there already." in text
    assert "there already, stays as it is" in text
    assert "Make this" not in text


def test_what_is_there_stays_and_what_lacks_is_added(client, event):
    made = Event.objects.get(pk=event.pk)
    made.pk, made.slug, made.name, made.first_day = None, "cup-again", NAME.upper(), AFTER
    made.last_day = AFTER
    made.save()
    held = DivisionFactory(event=made, name="ADVANCED", draft={"passes": {"count": 5}})
    answer, text = shown(client, event)
    assert "One division would be made." in text
    confirm(client, event.club, answer.context["sealed"])

    assert [each.name for each in made.divisions.order_by("name")] == ["ADVANCED", "First time"]
    held.refresh_from_db()
    assert held.draft == {"passes": {"count": 5}}


def test_a_change_in_between_is_shown_again_before_anything_is_made(client, event):
    answer, _ = shown(client, event)
    division = event.divisions.get(name="Advanced")
    EditionFactory(division=division, number=2, data={"passes": {"count": 3}})
    before = counts()
    again = confirm(client, event.club, answer.context["sealed"])

    assert counts() == before
    text = text_of(again.content.decode())
    assert "Something changed since you looked" in text
    assert "edition 2" in text
    confirm(client, event.club, again.context["sealed"])
    made = Division.objects.get(event__name=NAME, name="Advanced")
    assert made.draft == {"passes": {"count": 3}}


def test_what_no_longer_reads_is_told_and_left_open(client, event):
    division = event.divisions.get(name="First time")
    division.draft = {"passes": {"count": "some", "wobble": 3}, "falls": {"allowed": 1}}
    division.save()
    answer, text = shown(client, event)

    assert "First time passes, wobble: There is no key" in text
    assert "First time passes, count:" in text
    confirm(client, event.club, answer.context["sealed"])
    made = Division.objects.get(event__name=NAME, name="First time")
    assert made.draft == {"falls": {"allowed": 1}}


def test_a_trick_that_left_the_club_is_told(client, event):
    division = event.divisions.get(name="First time")
    division.draft = {"limits": [{"most": 0, "when": {"trick": ["Otter roll"]}}]}
    division.save()
    said = "The limits name “Otter roll”, which is in no list of tricks."

    assert said in shown(client, event)[1]
    ClubTrick.objects.create(
        club=event.club, name="Otter roll", family="tantrum", approach="heelside"
    )
    assert said not in shown(client, event)[1]


def test_changes_that_were_never_published_are_named(client, event):
    division = event.divisions.get(name="Advanced")
    division.draft = {**RULES, "passes": {"count": 4}}
    division.save()
    answer, text = shown(client, event)

    assert "changed after edition 1; those changes were never published" in text
    assert answer.context["plan"].divisions[0].draft["passes"]["count"] == 2


def test_dates_of_exceptions_move_too(client, event):
    division = event.divisions.get(name="First time")
    division.draft = {"overrides": [{"when": {"round": "Final"}, "set": {"clock": {"declare_by": f"{YEAR - 1}-07-05T08:00:00"}}}],
                      "rounds": [{"name": "Final"}]}  # fmt: skip
    division.save()
    answer, text = shown(client, event)

    assert "First time: Declare by (exception 1)" in text
    moved = (
        answer.context["plan"].divisions[1].draft["overrides"][0]["set"]["clock"]["declare_by"]
    )
    assert datetime.fromisoformat(moved).date() == BEFORE + timedelta(days=729)


def test_a_failure_half_way_leaves_nothing(client, event):
    answer, _ = shown(client, event)
    before = counts()
    real = Division.full_clean

    def refuse(self, *args, **kwargs):
        if self.name == "First time":
            raise ValidationError("No.")
        return real(self, *args, **kwargs)

    with patch.object(Division, "full_clean", refuse):
        done = confirm(client, event.club, answer.context["sealed"])

    assert counts() == before
    assert "Nothing was made. No." in text_of(client.get(done.url).content.decode())


class TestWrongInput:
    @pytest.mark.parametrize("kind", ["event", "files"])
    def test_sent_without_its_button(self, client, event, kind):
        """As a program sends it: what came says itself which of the two it is."""
        address = reverse("event-from-earlier", args=[event.club.slug])
        html = client.post(address, {f"{kind}-name": "Spring trial"}).content.decode()

        assert "This field is required." in html
        assert 'value="Spring trial"' in html

    def test_nothing_chosen(self, client, event):
        answer = client.post(
            reverse("event-from-earlier", args=[event.club.slug]),
            {"look-event": "1", "event-name": "Spring trial"},
        )
        html = answer.content.decode()

        assert html.count("This field is required.") >= 2
        assert 'value="Spring trial"' in html
        assert_labelled(html)

    @pytest.mark.parametrize(
        ("day", "said"),
        [
            (date.today() - timedelta(days=3), "The first day lies in the past"),
            (date.today() + timedelta(days=5), "Entries close: "),
            (date(YEAR + 30, 1, 1), "more than 5 years ahead: look at the year"),
            (date(9999, 12, 31), "more than 5 years ahead: look at the year"),
        ],
    )
    def test_days_that_cannot_be(self, client, event, day, said):
        answer = choose(client, event, first_day=day, name="Spring trial")
        html = answer.content.decode()

        assert said in text_of(html)
        assert 'value="Spring trial"' in html
        assert day.isoformat() in html
        assert Event.objects.count() == 1

    def test_a_name_too_long(self, client, event):
        assert "at most 120 characters" in text_of(
            choose(client, event, name="x" * 121).content.decode()
        )

    def test_an_event_of_another_club_cannot_be_chosen(self, client, event):
        other = last_year()
        data = {
            "event-earlier": other.pk,
            "event-first_day": AFTER.isoformat(),
            "look-event": "1",
        }
        answer = client.post(reverse("event-from-earlier", args=[event.club.slug]), data)

        assert "Select a valid choice" in text_of(answer.content.decode())

    @pytest.mark.parametrize("sealed", ["", "x", "a:b:c"])
    def test_a_seal_that_is_none(self, client, event, sealed):
        done = confirm(client, event.club, sealed)
        assert "This preview is no longer valid" in text_of(
            client.get(done.url).content.decode()
        )

    def test_the_seal_of_another_club(self, client, event):
        answer, _ = shown(client, event)
        other = OfficialFactory(user=organiser_of(event)).club
        confirm(client, other, answer.context["sealed"])
        assert Event.objects.count() == 1

    def test_an_old_seal(self, client, event, time_machine):
        answer, _ = shown(client, event)
        time_machine.move_to(timezone.now() + timedelta(hours=25))
        confirm(client, event.club, answer.context["sealed"])
        assert Event.objects.count() == 1

    def test_the_earlier_event_is_gone(self, client, event):
        answer, _ = shown(client, event)
        Act.objects.all().delete()
        event.divisions.get(name="Advanced").editions.all().delete()
        event.divisions.all().delete()
        event.delete()
        done = confirm(client, Club.objects.get(), answer.context["sealed"])
        assert "This preview is no longer valid" in text_of(
            client.get(done.url).content.decode()
        )


@pytest.mark.parametrize("role", [Official.Role.TABLE, Official.Role.DOCK])
def test_only_organisers_of_the_club(client, event, role):
    client.force_login(OfficialFactory(club=event.club, role=role).user)
    assert choose(client, event).status_code == 403
    assert confirm(client, event.club, "").status_code == 403


def test_a_club_without_a_lake_is_led_to_it(client):
    official = OfficialFactory()
    client.force_login(official.user)
    answer = client.get(reverse("event-from-earlier", args=[official.club.slug]))
    assert answer.url == reverse("venue-new", args=[official.club.slug])


def test_the_link_stands_on_the_organisers_page(client, event):
    assert reverse("event-from-earlier", args=[event.club.slug]) in page(
        client, reverse("organise-home")
    )

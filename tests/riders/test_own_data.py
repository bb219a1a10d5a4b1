"""What the site holds of a person: taking it away, and having it erased."""

import json
from datetime import timedelta

import pytest
import time_machine
from django.apps import apps
from django.contrib.auth.models import User
from django.db.models import Q
from django.test import Client
from django.utils import timezone
from pytest_django.asserts import assertContains

from events.models import Act, Club, Edition, LanguageChoice, Letter, LinkStamp, UnitsChoice
from events.post import link_for, send
from events.services import record
from riders.models import (
    Bib,
    Declaration,
    Entry,
    LandingDay,
    LandingRecord,
    OwnTrick,
    PlannedRun,
    PlanShare,
    PlanVariant,
    Rider,
)
from riders.own_data import LEFT_OUT, SKIPPED, own_data
from riders.share_models import CoachLink
from riders.signals import rider_erased
from tests.factories import PASSWORD, EntryFactory, OfficialFactory, RiderFactory, UserFactory


@pytest.fixture
def rider(db) -> Rider:
    user = UserFactory(username="ilka@example.org", email="ilka@example.org", first_name="Ilka")
    return RiderFactory(
        user=user, given_name="Ilka", family_name="Reedwater", club_name="Reed Club"
    )


@pytest.fixture
def served(settings):
    settings.POST_IS_SENT = True


@pytest.fixture
def mine(client, rider) -> Client:
    client.force_login(rider.user)
    return client


@pytest.fixture
def full(rider) -> Rider:
    """A rider with something in every table of riders."""
    entry = EntryFactory(
        rider=rider,
        guardian="Gerda Reedwater",
        guardian_phone="0551",
        emergency_name="Onno",
        wishes="slow",
    )
    edition = Edition.objects.create(
        division=entry.division, number=1, data={}, published_by=UserFactory()
    )
    Declaration.objects.create(
        entry=entry,
        number=1,
        edition=edition,
        notation="HS backroll",
        tricks=[],
        check_result={},
    )
    UnitsChoice.objects.create(user=rider.user, units="ft.mph.lb")
    LanguageChoice.objects.create(user=rider.user, language="de")
    PlannedRun.objects.create(entry=entry, rows=[["HS backroll"]])
    PlanVariant.objects.create(entry=entry, name="Careful")
    share = PlanShare.objects.create(entry=entry, token_hash="secret-hash")
    CoachLink.objects.create(share=share, coach=RiderFactory(given_name="Coach"))
    other = PlanShare.objects.create(entry=EntryFactory())
    CoachLink.objects.create(share=other, coach=rider)
    OwnTrick.objects.create(rider=rider, name="Reed flip", family="tantrum", approach="toeside")
    LandingRecord.objects.create(rider=rider, trick="Indy", landed=4, tried=5)
    LandingDay.objects.create(
        rider=rider, trick="Indy", day=timezone.localdate(), landed=4, tried=5
    )
    Bib.objects.create(event=entry.division.event, rider=rider, number=7)
    send(
        to=rider.user.email,
        subject="You are entered",
        text=f"Go on: {link_for(rider.user, '/riding/')}",
        person=rider.user,
    )
    return rider


class TestOwnData:
    def test_everything_is_in_the_file(self, mine, full):
        answer = mine.get("/account/my-data.json")

        assert "attachment" in answer["Content-Disposition"]
        told = json.loads(answer.content)
        text = answer.content.decode()
        for words in (
            "Ilka", "Reedwater", "ilka@example.org", "Gerda Reedwater", "0551", "HS backroll", "Careful", "Reed flip",
            "You are entered", str(full.entries.get().division.event),
        ):  # fmt: skip
            assert words in text, words
        assert told["landing records"][0]["landed"] == 4
        assert told["bibs"][0]["number"] == 7

    def test_no_password_no_secret_link_and_nobody_else(self, mine, full):
        text = mine.get("/account/my-data.json").content.decode()

        assert full.user.password not in text
        assert "secret-hash" not in text
        assert "/key/" not in text
        stranger = EntryFactory(guardian="A stranger")
        assert stranger.guardian not in mine.get("/account/my-data.json").content.decode()

    def test_no_table_that_points_to_a_rider_is_forgotten(self, full):
        """Whatever model has a reference to a rider, an entry or an account is in the file."""
        told = own_data(full.user)
        pointing = {
            model
            for model in apps.get_models()
            if model._meta.app_label in ("events", "riders")
            for field in model._meta.concrete_fields
            if field.is_relation
            and field.related_model in (User, Rider, Entry)
            and not field.remote_field.hidden
        }
        officials = {apps.get_model("events", "Official")}
        missing = [
            model._meta.verbose_name_plural
            for model in pointing - SKIPPED - officials - {LandingDay}
            if str(model._meta.verbose_name_plural) not in told
            and model is not apps.get_model("riders", "LastTap")
        ]
        assert missing == []
        assert LinkStamp in SKIPPED
        assert "password" in LEFT_OUT

    def test_as_many_questions_for_one_as_for_many(self, full, django_assert_num_queries):
        own_data(full.user)
        with django_assert_num_queries(23):
            own_data(full.user)
        for entry in EntryFactory.create_batch(4, rider=full):
            PlannedRun.objects.create(entry=entry)
            PlanVariant.objects.create(entry=entry, name="Careful")
        with django_assert_num_queries(23):
            own_data(full.user)


class TestErasing:
    def erase(self, client, word="erase"):
        return client.post("/account/erase/", {"word": word}, follow=True)

    def test_what_is_theirs_goes_and_what_results_rest_on_stays(self, mine, full):
        answer = self.erase(mine)

        assertContains(answer, "Your data is erased")
        assert mine.get("/account/").status_code == 302
        rider = Rider.objects.get(pk=full.pk)
        assert (str(rider), rider.club_name, rider.born_on) == ("Rider withdrawn", "", None)
        entry = rider.entries.get()
        assert (entry.guardian, entry.guardian_phone, entry.emergency_name, entry.wishes) == (
            "",
            "",
            "",
            "",
        )
        assert entry.state == Entry.State.WITHDRAWN
        assert Declaration.objects.get(entry=entry).notation == "HS backroll"
        for model in (
            PlannedRun,
            PlanVariant,
            OwnTrick,
            LandingRecord,
            LandingDay,
            Letter,
            CoachLink,
        ):
            assert not model.objects.exists(), model
        assert PlanShare.objects.exclude(entry=entry).count() == 1  # somebody else's
        user = rider.user
        assert (user.email, user.first_name, user.last_name, user.is_active) == (
            "",
            "",
            "",
            False,
        )
        assert not user.has_usable_password()

    def test_no_column_of_the_database_names_the_person_any_more(self, mine, full):
        club = full.entries.get().division.event.club
        record(club=club, by=full.user, what="Gave bib 7 to Ilka Reedwater (ilka@example.org).")

        self.erase(mine)

        left = []
        for model in apps.get_models():
            texts = [
                f.name
                for f in model._meta.concrete_fields
                if f.get_internal_type() in ("CharField", "TextField", "EmailField")
            ]
            for word in ("Reedwater", "ilka@example.org"):
                wanted = Q(pk__in=())
                for name in texts:
                    wanted |= Q(**{f"{name}__icontains": word})
                left += [(model.__name__, word) for _ in model._default_manager.filter(wanted)]
        assert left == []
        assert Act.objects.filter(
            what="Gave bib 7 to somebody who left (somebody who left)."
        ).exists()

    def test_contests_that_are_over_keep_entry_and_bib(self, mine, full):
        with time_machine.travel(timezone.now() + timedelta(days=60)):
            mine.force_login(full.user)
            self.erase(mine)

        assert full.entries.get().state == Entry.State.RIDING
        assert Bib.objects.get().number == 7

    @pytest.mark.parametrize("word", ["", "yes", "erase it"])
    def test_the_word_has_to_be_typed(self, mine, full, word):
        page = self.erase(mine, word)

        assert page.context["form"].errors
        assert Rider.objects.get(pk=full.pk).family_name == "Reedwater"

    def test_the_last_organiser_hands_over_first(self, mine, full):
        office = OfficialFactory(user=full.user, club=Club.objects.first())

        assertContains(
            mine.get("/account/erase/"), f"You are the only organiser of {office.club}"
        )
        assertContains(self.erase(mine), "Give somebody else the role first")
        assert Rider.objects.get(pk=full.pk).family_name == "Reedwater"

        OfficialFactory(club=office.club)
        self.erase(mine)
        assert not full.user.offices.exists()
        assert Act.objects.filter(club=office.club, what__startswith="Somebody erased").exists()

    def test_the_account_opens_no_more(self, mine, full):
        link = link_for(full.user, "/riding/").split("8000")[-1]
        self.erase(mine)

        assert not Client().login(username="ilka@example.org", password=PASSWORD)
        assert Client().get(link).status_code == 410

    def test_later_applications_are_told(self, mine, full):
        heard = []

        def listen(rider, **_):
            heard.append(rider.name)

        rider_erased.connect(listen)
        self.erase(mine)
        rider_erased.disconnect(listen)

        assert heard == ["Ilka Reedwater"]

"""Declaring: frozen with its edition, never deleted, never too late, never illegal."""

from datetime import timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Edition
from events.rules.notation import read_run
from events.rules.vocabulary import standard_vocabulary
from riders.models import Declaration, OwnTrick
from riders.services import declare, declared_run, vocabulary_of
from tests.factories import EditionFactory, EntryFactory, UserFactory


def declare_by_form(desk, *passes, **more):
    desk.client.force_login(desk.entry.rider.user)  # a session of its own day
    return desk.post(*passes, action="declare", **more)


class TestDeclare:
    def test_success_ends_on_a_receipt(self, desk):
        answer = declare_by_form(desk, "HS backroll 4/5; Indy", "Raley", bonus="Mute 60%")

        declaration = Declaration.objects.get()
        assert answer.url == f"/riding/declared/{declaration.pk}/"
        assert declaration.notation == "HS backroll, Indy | Raley + double-up Mute"
        assert (declaration.number, declaration.edition) == (1, desk.edition)
        page = desk.client.get(answer.url)
        assertContains(page, "Your run is declared")
        assertContains(page, "under edition 1")

    def test_records_stay_with_the_rider(self, desk):
        """What the table sees holds no landing record and no chance."""
        declare_by_form(desk, "HS backroll 4/5", "Indy 33%")

        declaration = Declaration.objects.get()
        assert "4/5" not in declaration.notation + str(declaration.tricks)
        assert "33" not in declaration.notation

    def test_a_new_one_supersedes_and_none_is_deleted(self, desk):
        declare_by_form(desk, "HS backroll", "Indy")
        declare_by_form(desk, "HS backroll", "Mute")

        assert [d.number for d in Declaration.objects.order_by("number")] == [1, 2]
        (newest,) = Declaration.objects.in_force()
        assert newest.number == 2
        first = Declaration.objects.get(number=1)
        page = desk.client.get(f"/riding/declared/{first.pk}/")
        assertContains(page, "An earlier declared run")

    def test_a_script_is_sent_to_the_receipt(self, desk):
        data = {"passes": "1", "p1-rows": "1", "p1-1-trick": "Indy", "action": "declare", "edition": "1"}

        answer = desk.client.post(desk.url, data, headers={"HX-Request": "true"})

        assert answer.headers["HX-Redirect"] == f"/riding/declared/{Declaration.objects.get().pk}/"

    def test_an_illegal_run_says_why(self, desk):
        page = declare_by_form(desk, "HS backroll; HS backroll", "Indy")

        assertContains(page, "This run breaks the rules and cannot be declared.")
        link = '<a href="#id_p1-2-trick">Trick 2 of pass 1: The same trick as trick 1.'
        assertContains(page, link)
        assert not Declaration.objects.exists()

    def test_rows_that_cannot_be_read(self, desk):
        page = declare_by_form(desk, "HS backroll; HS bakroll", "Indy")

        assertContains(page, "Some rows cannot be read yet")
        assertContains(page, '<a href="#id_p1-2-trick">Trick 2 of pass 1: “bakroll”')
        assertContains(page, 'value="HS bakroll"')
        assert not Declaration.objects.exists()

    def test_an_empty_run(self, desk):
        assertContains(declare_by_form(desk, "", ""), "There is no trick in this run yet")


class TestDeadline:
    def test_the_last_second_is_in_time_and_one_later_is_not(self, desk):
        deadline = desk.division.deadline()

        with time_machine.travel(deadline, tick=False):
            declare_by_form(desk, "HS backroll", "Indy")
        with time_machine.travel(deadline + timedelta(seconds=1), tick=False):
            page = declare_by_form(desk, "HS backroll", "Mute")

        assert Declaration.objects.count() == 1
        assertContains(page, "The deadline was")
        assertContains(page, 'value="Mute"')

    def test_a_division_has_its_own_deadline(self, desk):
        own = (desk.division.event.declare_by - timedelta(days=3)).astimezone(desk.division.event.zone)
        data = {**desk.edition.data, "clock": {"declare_by": own.replace(tzinfo=None).isoformat()}}
        Edition.objects.create(
            division=desk.division, number=2, data=data, published_by=UserFactory()
        )

        with time_machine.travel(own + timedelta(seconds=1), tick=False):
            page = declare_by_form(desk, "HS backroll", "Indy", edition="2")

        assertContains(page, "The deadline was")


class TestEditions:
    def test_rules_that_changed_meanwhile_are_told(self, desk):
        EditionFactory(division=desk.division, number=2, data=desk.edition.data)

        page = declare_by_form(desk, "HS backroll", "Indy")

        assertContains(page, "Edition 2 of the rules was published while you planned.")
        assert not Declaration.objects.exists()
        assertContains(page, 'name="edition" value="2"')

    def test_a_declared_run_keeps_its_edition(self, desk):
        declare_by_form(desk, "HS backroll", "Indy")
        EditionFactory(division=desk.division, number=2, data={"passes": {"count": 1}})

        assert Declaration.objects.get().edition.number == 1

    def test_the_rider_reads_what_a_new_edition_means(self, desk):
        """Checked again under the new edition; never altered."""
        declare_by_form(desk, "HS backroll", "Indy")
        EditionFactory(division=desk.division, number=2, data=desk.edition.data)
        assertContains(desk.client.get("/riding/"), "Your run is still legal.")

        EditionFactory(division=desk.division, number=3, data={"passes": {"count": 1}})

        page = desk.client.get("/riding/")
        assertContains(page, "Edition 3 of the rules is in force now.")
        assertContains(page, "Pass 2 is one too many: a run has one pass.")
        assert Declaration.objects.get().notation == "HS backroll | Indy"

    def test_an_edition_never_changes(self, desk):
        desk.edition.data = {}

        with pytest.raises(ValidationError):
            desk.edition.save()


class TestFrozen:
    def test_an_own_trick_stays_as_declared(self, desk):
        rider = desk.entry.rider
        own = OwnTrick.objects.create(
            rider=rider, name="Reed flip", family="tantrum", approach="toeside", invert=True
        )
        declare_by_form(desk, "Reed flip", "Indy")
        own.invert = False
        own.save()

        run = declared_run(Declaration.objects.get())

        assert run.passes[0].tricks[0].trick.invert is True
        assert vocabulary_of(rider).find("Reed flip").invert is False

    def test_every_trick_of_the_vocabulary_reads_back(self, desk):
        """Whatever is declared reads back as the run that was declared."""
        desk.edition = EditionFactory(
            division=desk.division, number=2,
            data={"passes": {"count": 1, "any_number": True}, "limits": [], "repeats": {"rule": "free"}},
        )  # fmt: skip
        names = [trick.name for trick in standard_vocabulary().tricks]
        run = read_run(", ".join(names[:150]))

        declaration = declare(
            entry=desk.entry, round_name="", run=run, side="starboard", seen_edition=2
        )

        assert declared_run(declaration) == run


class TestPrivacy:
    def test_somebody_elses_receipt_is_not_found(self, desk, client):
        declare_by_form(desk, "HS backroll", "Indy")
        client.force_login(EntryFactory().rider.user)

        assert client.get(f"/riding/declared/{Declaration.objects.get().pk}/").status_code == 404

    def test_the_public_page_does_not_show_it(self, desk, client):
        declare_by_form(desk, "HS backroll; Krypt", "Indy")
        assert "Krypt" in Declaration.objects.get().notation
        client.logout()

        assertNotContains(client.get(desk.division.get_absolute_url()), "Krypt")

"""A new edition: each rider with a declared run is told once what it means."""

from datetime import timedelta

import pytest
import time_machine
from django.core import mail
from django.utils import timezone

from events.models import Division, LanguageChoice, Letter
from events.post import read_link
from events.services import NotPublished
from riders.models import Entry
from riders.re_checks import tell_riders
from tests.factories import EntryFactory, RiderFactory, UserFactory
from tests.riders.re_declaring import ONE_INVERT, declared, fresh, publish


class TestLetters:
    def test_the_rider_reads_what_changed_and_what_it_means(
        self, desk, settings, django_capture_on_commit_callbacks
    ):
        settings.POST_IS_SENT = True
        declared(desk.entry, "HS backroll, TS backroll | Indy")

        with django_capture_on_commit_callbacks(execute=True):
            publish(desk.division, limits=[ONE_INVERT])

        (sent,) = mail.outbox
        rider = desk.entry.rider
        assert sent.to == [rider.user.email]
        assert (
            sent.subject
            == f"Your declared run breaks a new rule: {desk.division}, {desk.division.event}"
        )
        for words in (
            f"Hello {rider.given_name},", "edition 2", "declared under edition 1", "HS backroll, TS backroll | Indy",
            "It breaks the rules now:", "No more than one invert", "No more than two inverts", "Declare another run by",
        ):  # fmt: skip
            assert words in sent.body, words
        assert "&" not in sent.body.replace("&round", "")
        token = next(line for line in sent.body.splitlines() if "/key/in/" in line).split("/")[
            -2
        ]
        user, path = read_link(token)
        assert (user, path) == (rider.user, f"/riding/entries/{desk.entry.pk}/plan/")

    def test_a_run_that_holds(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        publish(desk.division, limits=[])

        letter = Letter.objects.get()
        assert letter.subject.startswith("The rules have changed")
        assert "It still holds" in letter.text
        assert "You need not do anything" in letter.text
        assert letter.event == desk.division.event

    def test_once_per_edition(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        publish(desk.division, limits=[])
        edition = fresh(desk.division).edition

        tell_riders(edition)
        assert Letter.objects.count() == 1
        publish(desk.division, falls={"allowed": 2})
        assert Letter.objects.count() == 2

    def test_the_rounds_of_a_rider_go_into_one_letter(self, desk):
        publish(desk.division, rounds=[{"name": "Qualifying"}, {"name": "Final"}])
        entry = Entry.objects.get(pk=desk.entry.pk)
        for name in ("Qualifying", "Final"):
            declared(entry, "HS backroll | Indy", name, 2)

        publish(desk.division, limits=[])

        letter = Letter.objects.get()
        assert "Qualifying, declared under edition 2" in letter.text
        assert "Final, declared under edition 2" in letter.text

    def test_who_declared_nothing_is_not_written_to(self, desk):
        publish(desk.division, limits=[])

        assert not Letter.objects.exists()

    def test_after_the_deadline_the_organiser_is_asked(self, desk):
        declared(desk.entry, "HS backroll, TS backroll | Indy")
        with time_machine.travel(desk.division.deadline() + timedelta(hours=1)):
            publish(desk.division, limits=[ONE_INVERT])

        assert "Ask the organiser what happens with your run" in Letter.objects.get().text

    def test_nobody_is_told_after_the_event(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        with time_machine.travel(timezone.now() + timedelta(days=60)):
            publish(desk.division, limits=[])

        assert not Letter.objects.exists()

    def test_without_an_address_publishing_goes_on(self, desk):
        rider = RiderFactory(user=UserFactory(email=""))
        declared(EntryFactory(division=desk.division, rider=rider), "HS backroll | Indy")

        publish(desk.division, limits=[])

        letter = Letter.objects.get()
        assert letter.state == Letter.State.FAILED
        assert fresh(desk.division).edition.number == 2

    def test_what_is_not_published_tells_nobody(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        with pytest.raises(NotPublished, match="the same as edition 1"):
            publish(desk.division)

        assert not Letter.objects.exists()

    def test_publishing_costs_the_same_for_one_and_for_many(
        self, desk, django_assert_num_queries
    ):
        for count in (1, 8):
            for entry in EntryFactory.create_batch(count, division=desk.division):
                LanguageChoice.objects.create(user=entry.rider.user, language="de")
                declared(
                    entry, "HS backroll | Indy", edition=fresh(desk.division).edition.number
                )
            publish(desk.division, limits=[{**ONE_INVERT, "most": count}])
            Letter.objects.all().delete()
            edition = fresh(desk.division).edition
            edition.division = Division.objects.select_related("event__club").get(
                pk=desk.division.pk
            )
            with django_assert_num_queries(6):
                tell_riders(edition)
            assert Letter.objects.count() >= count

"""Several people at the same moment: nothing is lost, doubled or half done.

Real threads with connections of their own, on whichever database the tests run. Each test
goes a few rounds, because the order in which the database serves them differs.
"""

from datetime import timedelta
from functools import partial
from itertools import pairwise

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from events.models import Act, Division, Edition, Letter, Official
from events.rules.loading import as_data, load_format
from events.services import NotPublished, publish_edition, remove_official
from riders.models import Declaration
from tests.factories import (
    EditionFactory,
    EntryFactory,
    OfficialFactory,
)
from tests.operation.together import at_once, kinds
from tests.riders.conftest import RULES
from tests.riders.re_declaring import ONE_INVERT, declared

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 5
TWO_INVERTS = "HS backroll, TS FS 180 | HS tantrum"


@pytest.fixture
def division():
    """Published rules, the deadline weeks away."""
    return EditionFactory(data=as_data(load_format(RULES))).division


def officials(division, count=2):
    """People who may do everything at the division's club."""
    return [OfficialFactory(club=division.event.club).user for _ in range(count)]


class TestPublishing:
    def test_the_same_draft_by_two_becomes_one_edition(self, division):
        one, two = officials(division)
        for number in range(2, 2 + ROUNDS):
            division.draft = {**division.edition.data, "passes": {"count": number}}
            division.save(update_fields=["draft"])
            came = at_once(
                partial(publish_edition, division=division, by=one),
                partial(publish_edition, division=division, by=two),
            )

            assert kinds(came) == ["Edition", "NotPublished"]
            numbers = division.editions.order_by("number").values_list("number", flat=True)
            assert list(numbers) == list(range(1, number + 1))
        assert Act.objects.filter(what__startswith="Published").count() == ROUNDS

    def test_drafts_that_change_meanwhile_are_whole_in_every_edition(self, division):
        """A draft is saved while another publishes: each edition is one of the two drafts,
        and each says what changed since the one before."""
        one, two = officials(division)
        drafts = [
            {**division.edition.data, "passes": {"count": n, "length_m": 100 * n}}
            for n in (3, 4)
        ]

        def save_and_publish(draft, by):
            mine = Division.objects.get(pk=division.pk)
            mine.draft = draft
            mine.save(update_fields=["draft"])
            return publish_edition(division=mine, by=by)

        for _ in range(ROUNDS):
            came = at_once(
                partial(save_and_publish, drafts[0], one),
                partial(save_and_publish, drafts[1], two),
            )
            assert all(isinstance(each, Edition | NotPublished) for each in came), came
        editions = list(division.editions.order_by("number"))
        assert [each.number for each in editions] == list(range(1, len(editions) + 1))
        for before, edition in pairwise(editions):
            passes = edition.data["passes"]
            assert passes["length_m"] == 100 * passes["count"]
            assert edition.data != before.data
            assert edition.changes

    def test_a_run_declared_meanwhile_is_under_the_new_rules_or_its_rider_is_told(
        self, division
    ):
        """The new rules forbid the run. Either it came first, and the rider has a letter, or
        it is refused with the reason; it never stands unnoticed under the old ones."""
        (by,) = officials(division, 1)
        told = refused = 0
        for _ in range(ROUNDS):
            current = EditionFactory(data=as_data(load_format(RULES))).division
            entry = EntryFactory(division=current)
            current.draft = {**current.edition.data, "limits": [ONE_INVERT]}
            current.save(update_fields=["draft"])
            run, edition = at_once(
                partial(declared, entry, TWO_INVERTS),
                partial(publish_edition, division=current, by=by),
            )

            assert isinstance(edition, Edition), edition
            letters = Letter.objects.filter(person=entry.rider.user).count()
            if isinstance(run, Declaration):
                assert (entry.declarations.count(), letters) == (1, 1)
                told += 1
            else:
                assert isinstance(run, ValidationError), run
                assert "Edition 2" in str(run) or "edition 2" in str(run)
                assert (entry.declarations.count(), letters) == (0, 0)
                refused += 1
        assert told + refused == ROUNDS


class TestDeclaring:
    def test_pressed_in_two_tabs_is_one_declared_run(self, division):
        for _ in range(ROUNDS):
            entry = EntryFactory(division=division)
            came = at_once(*[partial(declared, entry, "HS backroll | Raley")] * 4)

            assert {each.pk for each in came} == {entry.declarations.get().pk}

    def test_two_runs_from_two_tabs_are_both_kept(self, division):
        entry = EntryFactory(division=division)
        runs = ["HS backroll | Raley", "HS backroll | Mute", "Indy | Raley", "Mute | Raley"]
        came = at_once(*(partial(declared, entry, run) for run in runs))

        assert kinds(came) == ["Declaration"] * 4
        kept = entry.declarations.order_by("number")
        assert [each.number for each in kept] == [1, 2, 3, 4]
        assert sorted(each.notation for each in kept) == sorted(runs)

    def test_many_in_the_seconds_around_the_deadline(self, division):
        """Who was told "declared" has a run that was in time; who was told "too late" none."""
        entries = EntryFactory.create_batch(8, division=division)
        event = division.event
        event.declare_by = timezone.now() + timedelta(seconds=0.4)
        event.save(update_fields=["declare_by"])
        in_time, late = set(), {}

        def until_refused(entry):
            for trick in ["Raley", "Mute", "Indy"] * 60:
                try:
                    declared(entry, f"HS backroll | {trick}")
                    in_time.add(entry.pk)
                except ValidationError as error:
                    late[entry.pk] = str(error)
                    return

        came = at_once(*(partial(until_refused, entry) for entry in entries))

        assert kinds(came) == ["NoneType"] * 8, came
        assert late.keys() == {entry.pk for entry in entries}
        assert all("The deadline was" in said for said in late.values()), late
        assert set(Declaration.objects.values_list("entry", flat=True)) == in_time
        assert not Declaration.objects.filter(declared_at__gt=event.declare_by).exists()
        for entry in entries:
            numbers = list(
                entry.declarations.order_by("number").values_list("number", flat=True)
            )
            assert numbers == list(range(1, len(numbers) + 1))

    def test_the_second_of_the_deadline_itself_is_in_time(self, division, time_machine):
        entry = EntryFactory(division=division)
        deadline = division.deadline("")
        time_machine.move_to(deadline, tick=False)
        assert declared(entry, "HS backroll | Raley").declared_at == deadline
        time_machine.move_to(deadline + timedelta(microseconds=1), tick=False)
        with pytest.raises(ValidationError, match="deadline"):
            declared(entry, "HS backroll | Mute")


def test_the_last_organiser_cannot_be_removed_by_two(division):
    """Each takes the other away at the same moment: one stays."""
    club = division.event.club
    one, two = (OfficialFactory(club=club) for _ in range(2))
    at_once(
        partial(remove_official, official=one, by=two.user),
        partial(remove_official, official=two, by=one.user),
    )

    assert Official.objects.filter(club=club, role=Official.Role.ORGANISER).count() >= 1

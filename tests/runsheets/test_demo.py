"""The demo event: it loads, it loads once, and everything in it obeys its own rules."""

import io

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.utils import timezone
from pypdf import PdfReader

from events.models import Act, Division, Edition, Event
from events.rules.findings import is_legal
from events.rules.legality import legality
from events.rules.notation import read_run
from riders.entering import waiting_place
from riders.models import Bib, Declaration, Entry, LandingRecord, PlannedRun, Rider
from riders.services import declared_run
from runsheets.books import event_facts
from runsheets.demo.loading import PASSWORD, DemoError, load
from runsheets.demo.plot import read_story
from runsheets.lineup import rounds_of
from runsheets.models import Heat, Mark, RiddenTrick, Ride, RunningOrder, Slot
from runsheets.papers.pack import papers_of
from runsheets.papers.paper import Kind
from runsheets.pdf.pack import papers_pdf
from runsheets.results import places_of, result_of

pytestmark = pytest.mark.django_db

COUNTED = (
    get_user_model(), Event, Division, Edition, Rider, Entry, Bib, Declaration, PlannedRun,
    LandingRecord, RunningOrder, Slot, Act,
)  # fmt: skip


# First those that need an empty database.


def test_it_is_refused_in_production(settings) -> None:
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="PRODUCTION"):
        call_command("load_demo")

    assert not Event.objects.exists()


def test_nobody_loses_an_account(django_user_model) -> None:
    django_user_model.objects.create_user("table", password="mine-alone")
    with pytest.raises(CommandError, match="user name table"):
        call_command("load_demo")

    assert django_user_model.objects.get().check_password("mine-alone")


def test_an_illegal_run_stops_the_loading() -> None:
    """A run with an invert where none is allowed is named, and nothing is loaded."""
    story = read_story()
    story["events"][0]["divisions"][0]["entries"][0]["runs"] = ["Tantrum 9/10"]
    with pytest.raises(DemoError, match="Tantrum 9/10"):
        load(story)

    assert not Event.objects.exists()


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo, loaded once for all tests of this file that only read."""
    with django_db_blocker.unblock():
        from django.db import transaction

        with transaction.atomic():
            out = io.StringIO()
            call_command("load_demo", stdout=out)
            yield out.getvalue()
            transaction.set_rollback(True)


def counts() -> list[int]:
    return [model.objects.count() for model in COUNTED]


def cup() -> Event:
    return Event.objects.get(slug="reed-bank-cup")


def weekend() -> Event:
    return Event.objects.get(slug="two-wakes-weekend")


def test_it_says_how_to_sign_in(demo, client) -> None:
    assert "/sign-in/" in demo
    for name in ("organiser", "table", "rider"):
        assert name in demo
        assert client.login(username=name, password=PASSWORD)


def test_loading_twice_changes_nothing(demo) -> None:
    before = counts()
    out = io.StringIO()
    call_command("load_demo", stdout=out)

    assert counts() == before
    assert PASSWORD in out.getvalue()


def test_two_public_events_one_past_its_deadline_one_open(demo) -> None:
    now = timezone.now()
    soon, later = Event.objects.public().filter(first_day__gt=now).order_by("first_day")
    assert soon.declare_by < now
    assert 0 < (soon.first_day - now.date()).days <= 7
    assert later.entries_are_open()
    assert (later.declare_by - now).days in (20, 21)


def test_four_divisions_with_rules_of_their_own(demo) -> None:
    formats = {repr(division.edition.format) for division in weekend().divisions.all()}
    assert len(formats) == 4
    riders = Rider.objects.filter(entries__division__event=weekend()).distinct()
    assert riders.count() >= 24
    assert set(riders.values_list("foot", flat=True)) == {"left", "right"}


def test_every_declared_run_is_legal_under_the_edition_it_was_checked_against(demo) -> None:
    declared = Declaration.objects.select_related("edition__division")
    assert declared.count() > 20
    for each in declared:
        rules = each.edition.effective(each.round_name or None)
        found = legality(
            declared_run(each), rules, each.edition.division.name, each.round_name or None
        )
        assert is_legal(found), f"{each}: {found}"


def test_what_the_table_sees_holds_no_landing_records(demo) -> None:
    assert LandingRecord.objects.filter(tried__gt=0).count() > 50
    for each in Declaration.objects.all():
        assert all(place.planned.tried is None for place in read_run(each.notation).places())


def test_states_that_a_person_looks_for(demo) -> None:
    """Somebody declared twice, a second edition differs, and one run no longer keeps it."""
    assert Declaration.objects.filter(number=2).exists()
    second = Edition.objects.get(number=2)
    assert second.changes
    first_only = Declaration.objects.in_force().filter(
        entry__division=second.division, edition__number=1
    )
    rules = second.effective("Final")
    legal = {is_legal(legality(declared_run(each), rules)) for each in first_only}
    assert legal == {True, False}
    undeclared = Entry.objects.filter(division__event=weekend(), declarations=None)
    assert undeclared.count() >= 3


def test_the_rider_has_begun_a_plan_in_the_open_event(demo) -> None:
    entry = Entry.objects.get(
        rider__user__username="rider", division__event__slug="ternvale-open"
    )
    assert entry.plans.get().rows["passes"]
    assert not entry.declarations.exists()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sheets_of_every_division_hold_every_name(demo, tmp_path_factory, paper) -> None:
    fonts = tmp_path_factory.getbasetemp() / "fonts"
    for division in weekend().divisions.select_related("event__venue"):
        rounds = [(division.pk, rounds_of(division)[0])]
        facts = event_facts(division.event, timezone.now(), only=rounds)
        papers = papers_of(facts, {Kind.RUN_SHEETS})
        pdf = PdfReader(io.BytesIO(papers_pdf(papers, paper, fonts=fonts)))
        text = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
        for entry in division.entries.select_related("rider"):
            assert entry.rider.name in text
        notes = [said["note"] for each in papers for said in each.snapshot.riders.values()]
        assert "No run declared" in notes


def test_a_contest_under_way(demo) -> None:
    """Ridden, marked and posted yesterday; the final of today lists the best rider last."""
    today = timezone.now().astimezone(cup().zone).date()
    assert (cup().last_day - today).days == 0
    qualifying, final = cup().divisions.get().orders.order_by("pk")
    result = result_of(Division.objects.get(event=cup()), qualifying)
    assert result.is_complete
    assert result.posted
    assert not result.is_official
    assert not result.undecided
    assert {len(group.rows) for group in result.groups} == {3}
    outcomes = set(RiddenTrick.objects.values_list("outcome", flat=True))
    assert outcomes == set(RiddenTrick.Outcome.values) - {"changed, fallen"}
    assert Mark.objects.count() == 5 * 3 * 3
    weights = {"Execution": 30, "Intensity": 40, "Composition": 30}  # the highest marks
    assert all(mark.value <= weights[mark.criterion] for mark in Mark.objects.all())
    places = [places_of(result)[slot.entry_id] for slot in final.slots.all()]
    assert places == [2, 2, 1, 1]
    assert {heat.day for heat in final.heats.all()} == {today}
    assert not Heat.objects.filter(order=final).exclude(begun_at=None).exists()


def test_fees_a_waiting_list_and_the_dock(demo) -> None:
    """The desk has something to show: who paid, who waits for a place, who is there."""
    entries = Entry.objects.filter(division__event=cup())
    assert entries.filter(state=Entry.State.RIDING).count() == 6
    waiting = entries.filter(state=Entry.State.WAITING).order_by("pk")
    assert [waiting_place(entry) for entry in waiting] == [1, 2]
    assert {entry.fee for entry in entries} == set(Entry.Fee)
    there = entries.exclude(checked_in_at=None)
    rode = Ride.objects.filter(order__division__event=cup(), state=Ride.State.DONE)
    assert set(there) == {ride.entry for ride in rode}
    first = rode.order_by("begun_at")[0]
    assert all(entry.checked_in_at < first.begun_at for entry in there)
    assert not Slot.objects.filter(entry__in=waiting).exists()


def test_what_was_ridden_follows_the_rules_of_falls(demo) -> None:
    """Nothing is written as ridden after the fall that ended the run."""
    for ride in Ride.objects.prefetch_related("tricks"):
        tricks = sorted(ride.tricks.all(), key=lambda t: (t.pass_no, bool(t.bonus), t.place))
        falls = [at for at, each in enumerate(tricks) if each.outcome == "fallen"]
        for each in tricks[falls[1] + 1 :] if len(falls) > 1 else ():
            assert each.outcome == "not reached", f"{ride}: {each}"

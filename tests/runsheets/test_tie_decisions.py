"""Ties that a ride-off or the judges parted: kept, shown, and taken back."""

import csv
import io
from copy import deepcopy

import pytest
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from events.models import Act, Division, Official
from riders.models import Bib, Entry
from runsheets.models import RiddenTrick, Ride, RunningOrder, TieDecision
from runsheets.result_acts import ResultRefused, make_official, post_result, take_back
from runsheets.results import order_of, result_of, results_of
from runsheets.tie_decisions import NO_PLACES, NO_TIE, decide_tie, undo_tie
from tests.factories import OfficialFactory
from tests.runsheets.result_desk import MARKS, RULES, heat_of_five, ride_all

HOW = "Ride-off at 14:20, one trick each."


@pytest.fixture
def division(db, client) -> Division:
    """Brandquist rode exactly as Adlersee did, and a ride-off decides."""
    rules = deepcopy(RULES)
    rules["judging"]["tie_breaks"] = ["Execution", "ride-off"]
    official = OfficialFactory(role=Official.Role.TABLE)
    found = heat_of_five(official.user, rules)
    OfficialFactory(club=found.event.club, user=official.user, role=Official.Role.TABLE)
    marks = {**MARKS, "Brandquist": MARKS["Adlersee"]}
    ride_all(found, official.user, marks)
    client.force_login(official.user)
    return Division.objects.get(pk=found.pk)


@pytest.fixture
def order(division) -> RunningOrder:
    return order_of(division, "Qualifying")


@pytest.fixture
def by(order):
    return order.made_by


def tied(division) -> dict[str, int]:
    (tie,) = result_of(division, order_of(division, "Qualifying")).undecided
    return {entry.rider.family_name: entry.pk for entry in tie}


def test_the_second_named_is_ahead_by_a_ride_off(division, order, by) -> None:
    riders = tied(division)
    assert set(riders) == {"Adlersee", "Brandquist"}
    decide_tie(
        order=order, ahead={riders["Brandquist"]: 1, riders["Adlersee"]: 2}, how=HOW, by=by
    )
    result = result_of(division, order)
    assert [row.place for row in result.rows] == ["1", "2", "3", "4", "5"]
    assert result.rows[0].entry.rider.family_name == "Brandquist"
    assert "ride-off" in result.rows[0].standing.note
    assert not result.undecided
    assert [how for how, _ in result.decided] == [HOW]
    assert Act.objects.filter(what__contains=HOW).exists()

    post_result(order=order, by=by)
    undo_tie(order=order, how=HOW, by=by)
    assert tied(division) == riders


def test_it_is_locked_with_an_official_result(division, order, by) -> None:
    riders = tied(division)
    ahead = {riders["Brandquist"]: 1, riders["Adlersee"]: 1}
    decide_tie(order=order, ahead=ahead, how=HOW, by=by)
    assert [row.place for row in result_of(division, order).rows][:3] == ["1", "1", "3"]
    post_result(order=order, by=by)
    make_official(order=order, by=by, reason="All agree.")
    with pytest.raises(ResultRefused, match="official"):
        undo_tie(order=order, how=HOW, by=by)
    take_back(order=order, by=by, reason="A mark was wrong.")
    undo_tie(order=order, how=HOW, by=by)
    assert not TieDecision.objects.exists()


def test_only_a_whole_tie_that_stands(division, order, by) -> None:
    riders = tied(division)
    with pytest.raises(ResultRefused, match=str(NO_TIE)):
        decide_tie(order=order, ahead={riders["Adlersee"]: 1}, how=HOW, by=by)
    with pytest.raises(ResultRefused, match=str(NO_PLACES)):
        decide_tie(order=order, ahead=dict.fromkeys(riders.values(), 3), how=HOW, by=by)
    with pytest.raises(ResultRefused, match="how it was decided"):
        decide_tie(order=order, ahead=dict.fromkeys(riders.values(), 1), how=" ", by=by)


def test_the_table_types_it_and_everybody_reads_it(division, order, by, client) -> None:
    riders = tied(division)
    address = f"{reverse('table-result', args=[division.pk])}?round=Qualifying"
    key = "-".join(str(pk) for pk in riders.values())
    typed = {"act": "decide", "tie": key, "how": HOW}
    wrong = client.post(address, {**typed, f"ahead-{riders['Adlersee']}": "x"})
    assert wrong.status_code == 200
    text = wrong.content.decode()
    assert "Write a number from 1 to 2; 1 is ahead." in text
    assert HOW in text
    assert not TieDecision.objects.exists()

    numbers = {f"ahead-{riders['Brandquist']}": "1", f"ahead-{riders['Adlersee']}": "2"}
    assert client.post(address, {**typed, **numbers}).status_code == 302
    assert client.post(address, {"act": "post"}).status_code == 302
    client.logout()
    public = reverse("result", args=[division.event.slug, division.slug])
    assert HOW in client.get(public).content.decode()
    files = {
        ending: client.get(
            reverse("result-file", args=[division.event.slug, division.slug, ending])
        ).getvalue()
        for ending in ("csv", "xlsx", "pdf")
    }
    rows = list(csv.DictReader(io.StringIO(files["csv"].decode("utf-8-sig"))))
    assert [row["Tie decided"] for row in rows] == [HOW, HOW, "", "", ""]
    head, *cells = load_workbook(io.BytesIO(files["xlsx"])).active.iter_rows(values_only=True)
    told = [row[head.index("Tie decided")] or "" for row in cells]
    assert told == [HOW, HOW, "", "", ""]
    paper = PdfReader(io.BytesIO(files["pdf"])).pages[0].extract_text()
    assert HOW in " ".join(paper.split())


def test_the_sentence_of_a_tie_names_nobody_who_is_not_named(division, order, by) -> None:
    """The notes of a result are public: a rider without a name there is told by the bib."""
    riders = tied(division)
    Entry.objects.filter(pk=riders["Adlersee"]).update(is_named=False)
    decide_tie(
        order=order, ahead={riders["Brandquist"]: 1, riders["Adlersee"]: 2}, how=HOW, by=by
    )
    note = result_of(division, order).rows[0].standing.note
    assert note == "Ahead of a rider whose name is not shown in the ride-off."

    rider = Entry.objects.get(pk=riders["Adlersee"]).rider
    Bib.objects.create(event=division.event, rider=rider, number=17)
    assert (
        result_of(division, order).rows[0].standing.note == "Ahead of bib 17 in the ride-off."
    )


def test_what_was_ridden_is_public_only_once_the_table_shows_it(
    division, order, by, client
) -> None:
    ride = Ride.objects.filter(order=order).first()
    for place, (outcome, trick) in enumerate(
        [("landed", "Tantrum"), ("fallen", "Raley"), ("not reached", "Mobe")], start=1
    ):
        RiddenTrick.objects.create(
            ride=ride, pass_no=1, place=place, planned=trick, outcome=outcome, changed_by=by
        )
    post_result(order=order, by=by)
    public = reverse("result", args=[division.event.slug, division.slug])
    address = f"{reverse('table-result', args=[division.pk])}?round=Qualifying"
    assert "Tantrum" not in client.get(public).content.decode()
    client.post(address, {"act": "show"})
    text = client.get(public).content.decode()
    assert "Tantrum, Raley (fell)" in text
    assert "Mobe" not in text
    client.post(address, {"act": "hide"})
    assert "Tantrum" not in client.get(public).content.decode()


def test_as_many_queries_for_three_rounds_as_for_one(
    division, order, by, django_assert_num_queries
) -> None:
    """Judges, rides with marks, and places of all rounds at once, ties included."""
    for name in ("Second", "Third"):
        other = RunningOrder.objects.create(
            division=division, round_name=name, method="random", made_by=by
        )
        heat = other.heats.create(number=1)
        for slot in order.slots.all():
            other.slots.create(heat=heat, entry=slot.entry, position=slot.position)
    found = RunningOrder.objects.select_related("result").order_by("pk")
    orders = list(found)
    held = Division.objects.select_related("event").prefetch_related("editions")
    division = held.get(pk=division.pk)
    for asked in (orders[:1], orders):
        with django_assert_num_queries(3):
            results_of(division, asked)

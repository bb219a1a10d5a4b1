"""The table's pages while a heat is ridden, as they are used."""

import pytest
from django.urls import reverse

from events.models import Official
from runsheets.models import Heat, Judge, Mark, RiddenTrick, Ride, RunningOrder
from tests.factories import EditionFactory, OfficialFactory, UserFactory
from tests.runsheets.day_desk import order_all, two_divisions


@pytest.fixture
def order(db, client) -> RunningOrder:
    event = two_divisions()
    official = OfficialFactory(club=event.club, role=Official.Role.TABLE)
    order_all(event, official.user)
    for number, name in enumerate(("Ines Halvard", "Tomas Quell"), start=1):
        Judge.objects.create(event=event, number=number, name=name)
    client.force_login(official.user)
    return RunningOrder.objects.order_by("pk").first()


def ride_url(order, number=None) -> str:
    entry = order.slots.first().entry_id
    if number:
        return reverse("table-ride-again", args=[order.pk, entry, number])
    return reverse("table-ride", args=[order.pk, entry])


def sheet(client, order, **typed):
    """What the page's form would send as it stands, with some fields typed anew."""
    form = client.get(ride_url(order)).context["form"]
    sent = {}
    for row in form.rows:
        sent[f"{row.name}-read"] = row.cell.value
        sent[f"{row.name}-version"] = row.cell.version
        sent[row.name] = row.value
        if row.name[0] in "tb":
            sent[f"{row.name}-actual"] = row.actual
    return {**sent, **typed}


def mark_name(order, number=1) -> str:
    return f"m-{order.division.event.judges.get(number=number).pk}-0"


def test_a_run_is_written_down(client, order) -> None:
    typed = {
        "t-1-1": "landed", "t-1-1-actual": "HS tantrum", mark_name(order): "62,5",
        "r-state": "done", "r-points_off": "2.5", "r-points_reason": "Not ready",
    }  # fmt: skip
    answer = client.post(ride_url(order), sheet(client, order, **typed), follow=True)

    assert "Saved." in answer.text
    assert RiddenTrick.objects.get().actual == "HS tantrum"
    assert str(Mark.objects.get().value) == "62.50"
    ride = Ride.objects.get()
    assert (ride.state, float(ride.points_off)) == ("done", 2.5)
    assert 'value="62.5"' in answer.text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"mark": "many"}, "Write a number"),
        ({"mark": "-1"}, "Write a number"),
        ({"mark": "1.234"}, "at most two decimals"),
        ({"mark": "NaN"}, "Write a number"),
        ({"r-points_off": "1e9"}, "Write a number"),
        ({"r-state": "disqualified"}, "Say why the rider is disqualified."),
        ({"r-state": "asleep"}, "Choose how far the run is."),
        ({"t-1-1": "landed"}, "Write which trick it was."),
        ({"t-1-1-actual": "raley"}, "Say whether it was landed or not."),
    ],
)
def test_what_is_wrong_is_said_and_the_rest_is_kept(client, order, typed, said) -> None:
    typed = {mark_name(order) if k == "mark" else k: v for k, v in typed.items()}
    other = {mark_name(order, 2): "40"}

    answer = client.post(ride_url(order), sheet(client, order, **typed, **other))

    assert answer.status_code == 200
    assert said in answer.text
    for value in typed.values():
        assert f'value="{value}"' in answer.text or value == "asleep"
    assert [mark.value for mark in Mark.objects.all()] == [40]


def test_the_second_person_sees_the_first_ones_mark_and_their_own(client, order) -> None:
    name = mark_name(order)
    first, second = (sheet(client, order, **{name: value}) for value in ("50", "70"))
    client.post(ride_url(order), first)

    answer = client.post(ride_url(order), second)

    assert "theirs stands. You typed: 70." in answer.text
    assert 'value="50"' in answer.text
    assert Mark.objects.get().value == 50

    again = client.post(ride_url(order), sheet(client, order, **{name: "70"}), follow=True)
    assert "Saved." in again.text
    assert Mark.objects.get().value == 70


def test_a_re_ride(client, order) -> None:
    client.post(ride_url(order), sheet(client, order, **{"r-state": "done"}))

    before = client.get(ride_url(order)).text
    assert "If it is not started, this run counts as it was ridden." in before
    assert "Common practice, no source" in before
    answer = client.post(ride_url(order), {"again": "1", "again_reason": "Rope"}, follow=True)

    assert "re-ride" in answer.text
    assert Ride.objects.get(number=2).repeats.number == 1
    assert client.get(ride_url(order, 2)).status_code == 200
    assert client.get(ride_url(order, 9)).status_code == 302


def test_a_heat_begins_ends_and_is_corrected(client, order) -> None:
    heat = order.heats.first()
    at = reverse("table-heat", args=[heat.pk])

    assert "Not begun yet." in client.get(at).text
    client.post(at, {"begin": "1"})
    client.post(at, {"end": "1"})
    client.post(at, {"correct": "1", "begun": "09:05", "ended": "09:40"})

    assert "Ridden from 09:05 to 09:40." in client.get(at).text
    wrong = client.post(at, {"correct": "1", "begun": "nine", "ended": ""}, follow=True)
    assert "Write both times" in wrong.text
    assert "Ridden from 09:05" in wrong.text
    before = client.post(at, {"correct": "1", "begun": "10:00", "ended": "09:00"}, follow=True)
    assert "ends after it begins" in before.text
    client.post(at, {"correct": "1", "begun": "", "ended": ""})
    assert Heat.objects.get(pk=heat.pk).begun_at is None


def test_the_panel(client, order) -> None:
    at = reverse("table-judges", args=[order.division.event.slug])
    read = client.get(at).context["read"]

    client.post(at, {"read": read, "judge-1": "Oda Wirth", "judge-3": "Pim Ulster"})

    assert [(j.number, j.name) for j in Judge.objects.all()] == [
        (1, "Oda Wirth"), (3, "Pim Ulster")
    ]  # fmt: skip
    stale = client.post(at, {"read": read, "judge-1": "Somebody Late"})
    assert "Somebody else changed the panel" in stale.text
    assert "Somebody Late" in stale.text


def test_others_are_kept_out(client, order) -> None:
    client.force_login(UserFactory())

    assert client.get(ride_url(order)).status_code == 403
    assert client.get(reverse("table-heat", args=[order.heats.first().pk])).status_code == 403
    slug = order.division.event.slug
    assert client.get(reverse("table-judges", args=[slug])).status_code == 403


def test_the_same_few_queries(client, order, django_assert_max_num_queries) -> None:
    typed = {mark_name(order): "5", "t-1-1": "landed", "t-1-1-actual": "raley"}
    client.post(ride_url(order), sheet(client, order, **typed))
    pages = [
        ride_url(order),
        reverse("table-heat", args=[order.heats.first().pk]),
        reverse("table-judges", args=[order.division.event.slug]),
    ]

    for page in pages:
        with django_assert_max_num_queries(12):
            client.get(page)


def test_a_name_that_is_too_long_is_led_to(client, order) -> None:
    """The summary led to judge 1, whoever of the panel it was."""
    at = reverse("table-judges", args=[order.division.event.slug])

    text = client.post(at, {"judge-1": "Ada Ferry", "judge-2": "x" * 121}).text

    assert '<a href="#judge-2">' in text
    assert "x" * 121 in text


def test_the_judges_are_told_of_a_departure(client, order) -> None:
    typed = {"t-1-1": "fallen", "t-1-1-actual": "a wild thing"}
    assert "For the judges" not in client.get(ride_url(order)).text

    client.post(ride_url(order), sheet(client, order, **typed))
    text = client.get(ride_url(order)).text

    assert "For the judges" in text
    assert "a wild thing" in text[text.index("For the judges") :][:600]
    assert "decide" in text[text.index("For the judges") :][:600]


def test_the_table_is_told_at_once_what_a_fall_does(client, order) -> None:
    data = {"falls": {"allowed": 0, "next_fall": "ends run", "counted_per": "run"}}
    EditionFactory(division=order.division, number=99, data=data)
    assert "0 falls so far" in client.get(ride_url(order)).text

    typed = {"t-1-1": "fallen", "t-1-1-actual": "HS tantrum"}
    client.post(ride_url(order), sheet(client, order, **typed))

    text = client.get(ride_url(order)).text
    assert "1 fall so far" in text
    assert "The run ends with the fall in pass 1." in text

"""The table's pages of days, as they are used."""

import pytest
from django.urls import reverse

from events.models import Event, Official
from runsheets.days import plan_version
from runsheets.models import DayPlan, Heat
from runsheets.schedule import schedule_of
from tests.factories import OfficialFactory, UserFactory
from tests.runsheets.day_desk import DAY, at, filled, heat_of, named, order_all, two_divisions

pytestmark = pytest.mark.django_db

TYPED = {
    "day": str(DAY), "starts_at": "09:00", "latest_end": "18:00", "sunrise": "05:00",
    "sunset": "20:30", "heat_gap_min": "5", "rest_heats": "1", "fuel_every_h": "2.5",
    "fuel_min": "15", "break1_name": "Lunch", "break1_at": "12:00", "break1_minutes": "45",
    "start_s": "50", "falls_expected": "1.5",
}  # fmt: skip


@pytest.fixture
def by(client):
    event = two_divisions()
    official = OfficialFactory(club=event.club, role=Official.Role.TABLE)
    order_all(event, official.user)
    client.force_login(official.user)
    return official.user


@pytest.fixture
def event(by):
    return Event.objects.get()


def days(event) -> str:
    return reverse("table-days", args=[event.slug])


def press(client, event, **pressed):
    data = {"version": plan_version(schedule_of(event)), **pressed}
    return client.post(days(event), data, follow=True)


def test_a_day_is_planned(client, event) -> None:
    answer = client.post(reverse("table-day-new", args=[event.slug]), TYPED, follow=True)

    assert "The day is planned." in answer.text
    plan = DayPlan.objects.get()
    assert plan.breaks == [{"name": "Lunch", "at": "12:00", "minutes": 45}]
    assert plan.pace == {"start_s": 50.0, "falls_expected": 1.5}
    assert float(plan.fuel_every_h) == 2.5


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("starts_at", "9 o'clock", "Write a time such as 09:30."),
        ("starts_at", "", "Write a time such as 09:30."),
        ("latest_end", "08:00", "This lies before the first rider starts."),
        ("sunset", "04:00", "This lies before the first rider starts."),
        ("heat_gap_min", "five", "Write a whole number from 0 to 120."),
        ("fuel_every_h", "-1", "Write hours of more than 0, such as 2.5."),
        ("break1_at", "", "Say when it is."),
        ("break1_minutes", "", "Say how many minutes it takes."),
        ("break1_name", "", "Say what the break is, such as lunch."),
        ("start_s", "99999", "Write a number from"),
        ("day", "2027-12-24", "Select a valid choice"),
    ],
)
def test_a_slip_is_told_beside_the_field(client, event, field, typed, said) -> None:
    answer = client.post(reverse("table-day-new", args=[event.slug]), {**TYPED, field: typed})

    assert said in answer.context["form"].errors[field][0]
    assert 'value="Lunch"' in answer.text or field == "break1_name"
    assert not DayPlan.objects.exists()


def test_a_day_is_changed(client, event, by) -> None:
    plan = filled(event, by)
    address = reverse("table-day", args=[event.slug, plan.pk])
    assert 'value="09:00"' in client.get(address).text

    client.post(address, {**TYPED, "starts_at": "10:30"})

    plan.refresh_from_db()
    assert f"{plan.starts_at:%H:%M}" == "10:30"
    assert plan.published_at is not None


def test_the_road_of_a_day(client, event, by) -> None:
    client.post(reverse("table-day-new", args=[event.slug]), TYPED)
    assert "Every heat is on a day now." in press(client, event, fill="yes").text
    plan = DayPlan.objects.get()
    second = heat_of(event, "Open", 2)
    press(client, event, shift=f"earlier-{second.pk}")
    assert named(schedule_of(event))[0][0] == "Open, Final, Heat 2"
    answer = press(client, event, keep=str(second.pk), **{f"start-{second.pk}": "09:15"})
    assert "09:15" in answer.text
    press(client, event, publish=str(plan.pk))
    plan.refresh_from_db()
    assert plan.published_at
    assert "Published" in client.get(days(event)).text
    press(client, event, unpublish=str(plan.pk))
    answer = client.post(reverse("table-day-remove", args=[event.slug, plan.pk]), follow=True)
    assert "plan is gone" in answer.text
    assert not DayPlan.objects.exists()


def test_who_comes_too_late_is_told(client, event, by) -> None:
    filled(event, by)
    heat = heat_of(event, "Open", 1)

    answer = client.post(
        days(event), {"version": "old", "shift": f"off-{heat.pk}"}, follow=True
    )

    assert "changed by somebody else" in answer.text
    assert heat_of(event, "Open", 1).day == DAY


def test_a_promise_does_not_replace_another_unseen(client, event, by) -> None:
    """Two officials have the page open: the second is told what the first one promised."""
    filled(event, by)
    heat = heat_of(event, "Seniors", 1)

    def promise(clock: str, was: str) -> str:
        typed = {f"start-{heat.pk}": clock, f"was-{heat.pk}": was}
        return press(client, event, keep=str(heat.pk), **typed).text

    assert f'name="was-{heat.pk}" form="shifts" value=""' in client.get(days(event)).text
    promise("13:30", "")
    answer = promise("14:00", "")
    assert "theirs stands: not before 13:30. You wanted: not before 14:00." in answer
    assert "Not before 13:30" in answer
    assert "You wanted: as planned" in promise("", "12:00")
    assert "theirs stands" not in promise("13:30", "")  # the same: nothing is lost
    assert f'name="was-{heat.pk}" form="shifts" value="13:30"' in answer
    assert "Not before 14:00" in promise("14:00", "13:30")
    promise("", "14:00")
    assert "theirs stands: as planned. You wanted: not before 15:00" in promise("15:00", "14:00")


def test_what_cannot_be_is_said(client, event, by) -> None:
    filled(event, by)
    heat = heat_of(event, "Open", 1)
    answer = press(client, event, keep=str(heat.pk), **{f"start-{heat.pk}": "soon"})
    assert "“soon” is not a time: write one such as 09:30" in answer.text
    Heat.objects.filter(pk=heat.pk).update(begun_at=at(event, "09:00"))
    answer = press(client, event, shift=f"off-{heat.pk}")
    assert "stays where it is" in answer.text


@pytest.mark.parametrize(
    "pressed",
    [
        {"shift": "sideways-1"},
        {"shift": "on-1-on-yesterday"},
        {"shift": "off-" + "9" * 30},
        {"keep": "٣"},
        {"publish": "abc"},
        {"rest": "0"},
        {},
    ],
)
def test_nonsense_changes_nothing(client, event, by, pressed) -> None:
    filled(event, by)
    before = plan_version(schedule_of(event))

    answer = press(client, event, **pressed)

    assert answer.status_code == 200
    assert plan_version(schedule_of(event)) == before


def test_only_the_table_gets_in(client, event, by) -> None:
    plan = filled(event, by)
    client.force_login(UserFactory())

    for address in (
        days(event),
        reverse("table-day-new", args=[event.slug]),
        reverse("table-day", args=[event.slug, plan.pk]),
    ):
        assert client.get(address).status_code == 403
    assert (
        client.post(reverse("table-day-remove", args=[event.slug, plan.pk])).status_code == 403
    )
    assert DayPlan.objects.exists()


def test_the_same_queries_for_any_number_of_riders(
    client, django_assert_max_num_queries
) -> None:
    for riders in (3, 24):
        event = two_divisions(riders)
        official = OfficialFactory(club=event.club, role=Official.Role.TABLE)
        order_all(event, official.user)
        filled(event, official.user)
        client.force_login(official.user)
        with django_assert_max_num_queries(12):
            assert client.get(days(event)).status_code == 200

"""Starting from an earlier year is whole or not at all, and once however many press at once."""

import os
from functools import partial

import pytest
from django.urls import reverse

from events.earlier.plan import plan_of
from events.earlier.taking import ShownOtherwise, take_over
from events.earlier.wishes import Wish, event_as_data, sealed
from events.models import Club, Division, Event
from tests.events.earlier_year import AFTER, last_year, organiser_of
from tests.operation.test_killed import by_page, killed_at_every_step
from tests.operation.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def wanted(event: Event) -> tuple[Wish, str]:
    """The same event two years on, and what is shown of it."""
    new = Event.objects.get(pk=event.pk)
    new.name, new.first_day, new.last_day = "Reed Cup again", AFTER, AFTER
    wish = Wish(event_as_data(new), event.pk)
    return wish, plan_of(event.club, wish).digest


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork, which Windows has not")
def test_killed_at_every_step():
    event = last_year()
    club = Club.objects.get(pk=event.club_id)
    wish, digest = wanted(event)
    address = reverse("event-from-earlier-confirm", args=[club.slug])
    act = by_page(organiser_of(event), address, wish=sealed(wish, digest, club))
    times, touched = killed_at_every_step(act)

    assert times >= 5
    assert touched == {"events.event", "events.division", "events.act"}
    assert Division.objects.filter(event__name="Reed Cup again").count() == 2


def test_two_press_at_once():
    event = last_year()
    wish, digest = wanted(event)
    take = partial(take_over, club=event.club, wish=wish, shown=digest, by=organiser_of(event))
    at_once(take, take)

    assert Event.objects.filter(name="Reed Cup again").count() == 1
    assert Division.objects.filter(event__name="Reed Cup again").count() == 2


def test_only_what_was_shown_is_made():
    event = last_year()
    wish, _ = wanted(event)
    with pytest.raises(ShownOtherwise):
        take_over(club=event.club, wish=wish, shown="other", by=organiser_of(event))
    assert Event.objects.count() == 1

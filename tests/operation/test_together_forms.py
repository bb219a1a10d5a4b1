"""Two who save the same form at the same moment: one is told, and nothing is lost unseen."""

from functools import partial

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from events.models import Division, Venue
from events.rules.loading import load_format
from events.services import save_draft
from tests.factories import DivisionFactory, OfficialFactory, UserFactory, VenueFactory
from tests.operation.edit_forms import QUARRELS, opened, shown, stored
from tests.operation.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 5


def signed_in(club) -> Client:
    client = Client()
    client.force_login(OfficialFactory(club=club).user)
    return client


@pytest.mark.parametrize("edited", QUARRELS, ids=lambda each: each.id)
def test_one_of_two_is_told(edited) -> None:
    client, address, _, first = opened(edited)
    texts = edited.theirs, edited.mine
    came = at_once(
        *(partial(client.post, address, first | {edited.field: text}) for text in texts)
    )

    assert sorted(each.status_code for each in came) == [200, 302]
    refused = next(n for n, each in enumerate(came) if each.status_code == 200)
    assertContains(came[refused], "Somebody else saved this meanwhile")
    assert shown(came[refused]).get(edited.field, "") == texts[refused]
    assert shown(client.get(address)).get(edited.field, "") == texts[1 - refused]


def test_four_organisers_at_one_venue() -> None:
    """Round after round one of four is first, and the other three see which."""
    venue = VenueFactory()
    address = reverse("venue-edit", args=[venue.pk])
    clients = [signed_in(venue.club) for _ in range(4)]
    for number in range(ROUNDS):
        first = shown(clients[0].get(address))
        notes = [f"Round {number}, organiser {n}" for n in range(4)]
        came = at_once(
            *(
                partial(client.post, address, first | {"notes": each})
                for client, each in zip(clients, notes, strict=True)
            )
        )

        assert sorted(each.status_code for each in came) == [200, 200, 200, 302]
        kept = Venue.objects.get().notes
        assert kept == notes[[each.status_code for each in came].index(302)]
        for each in came:
            if each.status_code == 200:
                assert kept in " ".join(each.context["form"].errors["notes"])


def test_a_draft_saved_while_the_name_is_saved() -> None:
    """Both stand: the form of the name writes nothing of the draft that it read before."""
    division = DivisionFactory()
    client = signed_in(division.event.club)
    address, by = reverse("division-edit", args=[division.pk]), UserFactory()
    for number in range(1, 1 + ROUNDS):
        format = load_format(f"[passes]\ncount = {number}")
        first = shown(client.get(address))
        came = at_once(
            partial(client.post, address, first | {"name": f"Open {number}"}),
            partial(save_draft, division=Division.objects.get(), format=format, by=by),
        )

        assert came[0].status_code == 302, came
        held = stored(division)
        assert (held["name"], held["draft"]) == (
            f"Open {number}",
            {"passes": {"count": number}},
        )

"""What tests of invitations share: an organiser, the link of a letter, and who opens it."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from events.models import Event, Letter
from tests.factories import (
    EventFactory,
    OfficialFactory,
    RiderFactory,
)

ADDRESS = "tilda@example.org"


@pytest.fixture(params=[True, False], ids=["with a mail server", "without"])
def event(request, db, settings) -> Event:
    settings.POST_IS_SENT = request.param
    return EventFactory()


@pytest.fixture
def organiser(client: Client, event: Event) -> User:
    user: User = OfficialFactory(club=event.club, user__first_name="Mirke").user
    client.force_login(user)
    return user


def people(event: Event) -> str:
    return f"/organise/clubs/{event.club.slug}/people/"


def asked(here: Event, **more: object) -> dict[str, object]:
    return {"username": ADDRESS, "role": "table", "event": here.pk, **more}


def link_of(letter: Letter) -> str:
    found = re.search(r"/key/role/\w+/", letter.text)
    assert found
    return found[0]


@pytest.fixture
def link(client, event, organiser) -> str:
    """The link in the letter that was written for the address."""
    client.post(people(event), asked(event))
    return link_of(Letter.objects.get(to=ADDRESS))


def somebody(email: str = ADDRESS) -> User:
    user: User = RiderFactory(user__username=email, user__email=email).user
    return user


def visitor(user: User | None = None) -> Client:
    client = Client()
    if user:
        client.force_login(user)
    return client

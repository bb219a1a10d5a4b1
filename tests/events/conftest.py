"""A division with a draft, and its editor."""

import pytest
from django.test import Client
from django.urls import reverse

from events.models import Division
from events.rules.loading import as_data
from events.starts import example_formats
from tests.factories import DivisionFactory, OfficialFactory


@pytest.fixture
def division() -> Division:
    """A division with the draft of a club day."""
    made: Division = DivisionFactory(draft=as_data(example_formats()["club-day-intermediate"]))
    return made


@pytest.fixture
def address(division: Division, client: Client) -> str:
    """The editor, for a signed-in organiser."""
    client.force_login(OfficialFactory(club=division.event.club).user)
    return reverse("format-edit", args=[division.pk])

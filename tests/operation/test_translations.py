"""The site in another language: every catalogue whole, and every word of every page in one."""

import os

import pytest
from django.conf import settings

from events.project.catalogues.faults import faults
from events.project.catalogues.files import languages
from tests.operation.permission_world import build
from tests.operation.test_permissions import MAY, address
from tests.operation.unmarked import typed_words, unmarked, wrapped_catalogue

# Written in each language by itself; their own tests look at them.
TOLD_APART = {"first-steps", "first-steps-of"}
PEOPLE = ("organiser", "table", "rider", "coach", "anonymous")


def test_every_catalogue_is_whole():
    """No message without a translation, none too many, the same names in braces."""
    assert languages(settings.BASE_DIR) == ["de"]
    assert list(faults(settings.BASE_DIR, "de")) == []


@pytest.fixture
def wrapped(settings, tmp_path):
    """The site in a language that is English between brackets."""
    wrapped_catalogue(settings.BASE_DIR, tmp_path, "de")
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGE_CODE = "de"


@pytest.mark.django_db
@pytest.mark.parametrize("person", PEOPLE)
def test_every_word_of_every_page_is_in_the_catalogues(client, wrapped, person):
    world = build()
    typed = typed_words()
    user = world.people[person]
    found = []
    only = os.environ.get("ONLY", "")
    for name in sorted(MAY):
        if person not in MAY[name] or name in TOLD_APART or only not in name:
            continue
        client.logout() if user is None else client.force_login(user)
        answer = client.get(address(world, name))
        if "html" in answer.get("Content-Type", "") and not answer.streaming:
            texts = unmarked(answer.content.decode(), typed)
            found += [f"{name}: {text}" for text in texts]
    assert not found, "\n".join(found)

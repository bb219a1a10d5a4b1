"""The tutorials as they are told: text and acts agree, and the pictures are those they name."""

import hashlib
import re

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from events.first_steps import FOLDER, PICTURES, WHO, Step, taken, tutorial
from tests.factories import OfficialFactory

FILES = settings.BASE_DIR / "events" / "static" / PICTURES
LARGEST = 1_500_000  # bytes, all pictures together
DOTS = 2  # for each pixel of the page
STEPS = [(who, n, step) for who in WHO for n, step in enumerate(tutorial(who).steps, start=1)]
PICTURED = [(who, step) for who, _, step in STEPS if step.picture]


@pytest.mark.parametrize(
    ("who", "number", "step"), STEPS, ids=[f"{w}-{n}" for w, n, _ in STEPS]
)
def test_the_text_names_what_is_done(who: str, number: int, step: Step):
    """Whatever is pressed, filled or seen is named, and whatever is named is used."""
    told = step.told_names()

    assert step.used_names() <= told
    assert told <= step.used_names() | step.chosen()


@pytest.mark.parametrize(
    ("who", "number", "step"), STEPS, ids=[f"{w}-{n}" for w, n, _ in STEPS]
)
def test_every_step_does_something_and_tells_what_happens(who: str, number: int, step: Step):
    verbs = [act[0] for act in step.acts]

    assert "see" in verbs
    assert verbs.count("picture") == (1 if step.picture else 0)


def test_every_file_in_the_folders_belongs_to_a_step():
    names = {step.picture.name for _, step in PICTURED}

    assert len(names) == len(PICTURED), "two steps have one picture"
    assert set(taken()) == names
    assert {file.name for file in FILES.iterdir()} == {f"{name}.png" for name in names}
    assert {file.stem for file in FOLDER.glob("*.toml")} == set(WHO)


@pytest.mark.parametrize(("who", "step"), PICTURED, ids=[s.picture.name for _, s in PICTURED])
def test_a_picture_is_what_was_noted_of_it(who: str, step: Step):
    """Its size, its sum, and at least one word of the step to be read on it."""
    note = taken()[step.picture.name]
    file = FILES / f"{step.picture.name}.png"

    with Image.open(file) as image:
        assert image.format == "PNG"
        assert image.size == (note["width"] * DOTS, note["height"] * DOTS)
    assert note["sum"] == hashlib.sha256(file.read_bytes()).hexdigest()[:16]
    assert note["width"] == (360 if who == "rider" else 768)
    shown = " ".join(note["words"])
    assert any(name in shown for name in step.told_names()), step.title
    assert len(step.picture.alternative) > 40


def test_the_pictures_are_light_to_load():
    assert sum(file.stat().st_size for file in FILES.iterdir()) < LARGEST


@pytest.mark.parametrize("signed_in", [False, True])
def test_the_pages_ask_few_queries(client, django_user_model, db, signed_in):
    """None for a stranger; who is signed in costs the session, the person and the offices."""
    if signed_in:
        client.force_login(OfficialFactory().user)
    for who in (None, *WHO):
        address = reverse("first-steps-of", args=[who]) if who else reverse("first-steps")
        with CaptureQueriesContext(connection) as seen:
            answer = client.get(address)

        assert answer.status_code == 200
        assert len(seen) <= (4 if signed_in else 0), [each["sql"] for each in seen]


@pytest.mark.parametrize("who", WHO)
def test_the_page_tells_every_step(client, db, who):
    """In order, numbered, with every picture's size and words for those who cannot see it."""
    told = tutorial(who)
    page = client.get(reverse("first-steps-of", args=[who])).text

    titles = re.findall(r'<span class="first-step-no">(\d+).*?</span></span> (.*?)</h2>', page)
    assert titles == [(str(n), step.title) for n, step in enumerate(told.steps, start=1)]
    for step in told.steps:
        if step.picture:
            size = f'width="{step.picture.width}" height="{step.picture.height}"'
            assert f'{step.picture.name}.png" {size} alt="{step.picture.alternative}"' in page
        for name in step.told_names():
            assert f'<b class="named">{name}</b>' in page
    assert "Before you ride" in page


def test_the_rider_is_cautioned_where_it_matters():
    """At entering, and where the chances of tricks are read."""
    cares = [step.care for step in tutorial("rider").steps if step.care]

    assert len(cares) == 2
    assert all("qualified coach" in care for care in cares)


def test_there_are_no_steps_for_anybody_else(client, db):
    assert client.get("/first-steps/driver/").status_code == 404
    with pytest.raises(KeyError):
        tutorial("../demo/event")


def test_pages_lead_to_the_steps(client, db):
    """The foot of every page, the first page, and where each kind of people begins its work."""
    assert 'href="/first-steps/"' in client.get("/tricks/").text
    assert client.get("/").text.count('href="/first-steps/"') == 2
    client.force_login(OfficialFactory().user)
    for address, who in (("/organise/", "organiser"), ("/table/", "table")):
        assert f'href="/first-steps/{who}/"' in client.get(address).text

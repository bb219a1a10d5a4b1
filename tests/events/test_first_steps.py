"""The tutorials as they are told: text and acts agree, and the pictures are those they name."""

import hashlib
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.translation import gettext, override
from PIL import Image

from events.first_steps import (
    SOURCE,
    WHO,
    Step,
    folder_of,
    languages,
    pictures_of,
    taken,
    tutorial,
)
from events.project.catalogues.files import path_of, read
from events.project.catalogues.gathering import FOLDERS
from tests.factories import OfficialFactory

STATIC = settings.BASE_DIR / "events" / "static"
LARGEST = 1_500_000  # bytes, all pictures of a language together
DOTS = 2  # for each pixel of the page
TOLD = [(code, who) for code in languages() for who in WHO]
STEPS = [
    (code, who, n, step)
    for code, who in TOLD
    for n, step in enumerate(tutorial(who, code).steps, start=1)
]
STEP_IDS = [f"{code}-{who}-{n}" for code, who, n, _ in STEPS]
PICTURED = [(code, who, step) for code, who, _, step in STEPS if step.picture]
OTHERS = [code for code in languages() if code != SOURCE]


def files_of(code: str) -> list[Path]:
    """The pictures that lie in the folder of a language."""
    return [each for each in (STATIC / pictures_of(code)).iterdir() if each.is_file()]


@pytest.mark.parametrize(("code", "who", "number", "step"), STEPS, ids=STEP_IDS)
def test_the_text_names_what_is_done(code: str, who: str, number: int, step: Step):
    """Whatever is pressed, filled or seen is named, and whatever is named is used."""
    told = step.told_names()

    assert step.used_names() <= told
    assert told <= step.used_names() | step.chosen()


@pytest.mark.parametrize(("code", "who", "number", "step"), STEPS, ids=STEP_IDS)
def test_every_step_does_something_and_tells_what_happens(
    code: str, who: str, number: int, step: Step
):
    verbs = [act[0] for act in step.acts]

    assert "see" in verbs
    assert verbs.count("picture") == (1 if step.picture else 0)


@pytest.mark.parametrize("code", languages())
def test_every_file_in_the_folders_belongs_to_a_step(code: str):
    mine = [step.picture.name for each, _, step in PICTURED if each == code]

    assert len(set(mine)) == len(mine), "two steps have one picture"
    assert set(taken(code)) == set(mine)
    assert {file.name for file in files_of(code)} == {f"{name}.png" for name in mine}
    assert {file.stem for file in folder_of(code).glob("*.toml")} == set(WHO)


@pytest.mark.parametrize(
    ("code", "who", "step"), PICTURED, ids=[f"{c}-{s.picture.name}" for c, _, s in PICTURED]
)
def test_a_picture_is_what_was_noted_of_it(code: str, who: str, step: Step):
    """Its size, its sum, and at least one word of the step to be read on it."""
    note = taken(code)[step.picture.name]
    file = STATIC / step.picture.file

    with Image.open(file) as image:
        assert image.format == "PNG"
        assert image.size == (note["width"] * DOTS, note["height"] * DOTS)
    assert note["sum"] == hashlib.sha256(file.read_bytes()).hexdigest()[:16]
    assert note["width"] == (360 if who == "rider" else 768)
    shown = " ".join(note["words"])
    assert any(name in shown for name in step.told_names()), step.title
    assert len(step.picture.alternative) > 40


@pytest.mark.parametrize("code", languages())
def test_the_pictures_are_light_to_load(code: str):
    assert sum(file.stat().st_size for file in files_of(code)) < LARGEST


@pytest.mark.parametrize(("code", "who"), [each for each in TOLD if each[0] in OTHERS])
def test_another_language_tells_the_same(code: str, who: str):
    """The same acts in the same order, the same typed data and pictures of the same parts;
    whatever is named is what the catalogues make of the English name."""
    said = translations(code)
    lost = []
    for step, english in zip(
        tutorial(who, code).steps, tutorial(who, SOURCE).steps, strict=True
    ):
        assert [each[0] for each in step.acts] == [each[0] for each in english.acts]
        for act, was in zip(step.acts, english.acts, strict=True):
            assert act[2:] == was[2:] or act[0] == "choose"
            pairs = list(zip(act[1:], was[1:], strict=True))
            named = pairs if act[0] == "choose" else [] if act[0] == "go" else pairs[:1]
            lost += [pair for pair in named if not is_said(said, *pair)]
        pictures = (step.picture, english.picture)
        assert (pictures[0] is None) == (pictures[1] is None)
        if step.picture and english.picture:
            assert (step.picture.name, step.picture.around) == (
                english.picture.name,
                english.picture.around,
            )
            assert step.picture.alternative != english.picture.alternative
        assert (step.title, step.text) != (english.title, english.text)
        assert bool(step.care) == bool(english.care)
        if step.care and not is_said(said, step.care, english.care):
            lost.append((step.care, english.care))
    assert lost == []


TYPED = (
    "Siltmere, north arm", "Siltmere Open", "Intermediate", "Club day, intermediate",
    "HS backroll", "TS backroll", "",
)  # fmt: skip
"""What somebody typed, and the example format, stand in every language as they were written."""
_BLANK = re.compile(r"%\(\w+\)s|\{\w+\}")
_TAG = re.compile(r"<[^>]+>")


def translations(code: str) -> list[tuple[str, str]]:
    """Each message of the catalogues, and what it is in the language; without elements."""
    pairs: list[tuple[str, str]] = []
    for folder in FOLDERS:
        for message in read(path_of(settings.BASE_DIR, folder, code), code):
            many = message.pluralizable
            ids = message.id if many else (message.id,)
            words = message.string if many else (message.string,)
            pairs += [
                (_TAG.sub("", one), _TAG.sub("", other))
                for one, other in zip(ids, words, strict=True)
                if one and other
            ]
    return pairs


def is_said(said: list[tuple[str, str]], name: str, was: str) -> bool:
    """Whether a name may stand for the English one: typed, or one message says both."""
    if was in TYPED:
        return name == was
    return any(says(one, was) and says(other, name) for one, other in said)


def says(message: str, name: str) -> bool:
    """Whether a name is a part of the message, or begins with it, something in its blanks."""
    # Django gives the name of a field that is taken from its column a capital.
    if name in message or name in message[:1].upper() + message[1:]:
        return True
    words = _BLANK.split(message.removesuffix("."))
    if len(words) < 2 or len("".join(words)) < 3:
        return False
    return re.match(".+?".join(re.escape(each) for each in words), name) is not None


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


@pytest.mark.parametrize(("code", "who"), TOLD)
def test_the_page_tells_every_step(client, db, settings, code, who):
    """In order, numbered, with every picture's size and words for those who cannot see it."""
    told = tutorial(who, code)
    page = client.get(reverse("first-steps-of", args=[who]), headers={"accept-language": code})
    page = page.text

    titles = re.findall(r'<span class="first-step-no">(\d+).*?</span></span> (.*?)</h2>', page)
    assert titles == [(str(n), step.title) for n, step in enumerate(told.steps, start=1)]
    for step in told.steps:
        if step.picture:
            size = f'width="{step.picture.width}" height="{step.picture.height}"'
            assert f'{step.picture.name}.png" {size} alt="{step.picture.alternative}"' in page
        for name in step.told_names():
            assert f'<b class="named">{name}</b>' in page
    with override(code):
        assert gettext("Before you ride") in page


@pytest.mark.parametrize(
    ("code", "coach"), [("en", "qualified coach"), ("de", "qualifizierten Coach")]
)
def test_the_rider_is_cautioned_where_it_matters(code: str, coach: str):
    """At entering, and where the chances of tricks are read."""
    cares = [step.care for step in tutorial("rider", code).steps if step.care]

    assert len(cares) == 2
    assert all(coach in care for care in cares)


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

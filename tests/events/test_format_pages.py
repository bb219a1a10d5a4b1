"""Around the format editor: preview, publishing, TOML, and where a draft begins."""

import pytest
from django.test import Client
from django.urls import reverse

from events.models import Division, Edition
from events.rules.loading import as_toml, load_format
from events.starts import EXAMPLES, example_formats
from tests.events.editor_page import typed
from tests.events.markup import assert_labelled, page, text_of
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    OfficialFactory,
)

pytestmark = pytest.mark.django_db


def test_previewing_saves_and_shows_what_riders_will_read(
    client: Client, division: Division, address: str
) -> None:
    """The preview holds the very fragment of the riders' page, and the differences."""
    division.editions.add(EditionFactory(division=division, data=division.draft))
    sent = typed(page(client, address), falls__allowed="2") | {"do": ["preview"]}
    html = client.post(address, sent, follow=True).content.decode()
    words = text_of(html)
    assert "What differs from edition 1" in words
    assert "Two falls allowed: the third ends your run." in words
    client.post(reverse("format-publish", args=[division.pk]))
    public = page(client, division.get_absolute_url())
    start, end = '<h2 id="course">', "Before you ride"
    assert html.split(start)[1].split(end)[0] == public.split(start)[1].split(end)[0]


def test_publishing_from_the_page(client: Client, division: Division, address: str) -> None:
    """Once; the unchanged draft is refused with a sentence."""
    publish = reverse("format-publish", args=[division.pk])
    words = text_of(client.post(publish, follow=True).content.decode())
    assert "Edition 1 is published." in words
    words = text_of(client.post(publish, follow=True).content.decode())
    assert "The draft is the same as edition 1" in words
    edition = Edition.objects.get(division=division)
    assert edition.data == division.draft
    client.post(address, {"do": "save"})
    edition.refresh_from_db()
    assert edition.data == division.draft


def test_an_open_format_may_be_published_with_a_warning(
    client: Client, division: Division, address: str
) -> None:
    """It says what is missing, before and after."""
    client.post(address, {"do": "save"})
    preview = text_of(page(client, reverse("format-preview", args=[division.pk])))
    assert "does not say how many passes" in preview
    publish = reverse("format-publish", args=[division.pk])
    words = text_of(client.post(publish, follow=True).content.decode())
    assert "Edition 1 is published." in words
    assert "does not say how many passes" in words


def test_toml_goes_out_and_comes_back(client: Client, division: Division, address: str) -> None:
    """The downloaded draft, pasted into another division, is the same format."""
    text = reverse("format-text", args=[division.pk])
    written = client.get(f"{text}?download").content.decode()
    other = DivisionFactory(event=division.event)
    there = reverse("format-text", args=[other.pk])
    assert client.post(there, {"text": written})["Location"] == reverse(
        "format-edit", args=[other.pk]
    )
    other.refresh_from_db()
    assert other.draft_format == division.draft_format
    assert other.draft == division.draft


def test_the_club_day_example_loads_as_it_stands(
    client: Client, division: Division, address: str
) -> None:
    """Pasted as text, it is the format that the example list offers."""
    text = (EXAMPLES / "club-day-intermediate.toml").read_text()
    client.post(reverse("format-text", args=[division.pk]), {"text": text})
    division.refresh_from_db()
    read = division.draft_format
    assert read == example_formats()["club-day-intermediate"]
    assert read.passes.length_m == (400,)
    assert [limit.most for limit in read.limits] == [2, 0]
    assert read.pickup_cutoffs[0].at_m == read.double_ups[0].cutoff_m == 300


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[falls", "This is not TOML that can be read"),
        ("[falls]\nalowed = 1", 'There is no key "alowed" here; "allowed" may be meant.'),
        ("[passes]\ncount = 99\n[falls]\nallowed = -1", "passes, count: 99 is out of range"),
        (f"[falls]\nallowed = {'9' * 400}", "must be an ordinary number"),
        (f"[falls]\nallowed = {'9' * 5000}", "This is not TOML that can be read"),
        (f"a = {'[' * 3000}{']' * 3000}", "cannot"),
        ("", "This field is required."),
    ],
)
def test_text_that_is_no_format_is_refused(
    client: Client, division: Division, address: str, text: str, sentence: str
) -> None:
    """Each fault has its sentence, the text stays, and the draft too."""
    before = division.draft
    response = client.post(reverse("format-text", args=[division.pk]), {"text": text})
    assert response.status_code == 200
    if sentence != "cannot":
        assert sentence in text_of(response.content.decode())
    assert response.context["form"]["text"].value() == text
    division.refresh_from_db()
    assert division.draft == before


def test_starting_from_an_example(client: Client) -> None:
    """A fresh draft is laid out at once; the length of the venue is no reason to ask."""
    division = DivisionFactory(draft={"passes": {"length_m": 400}})
    client.force_login(OfficialFactory(club=division.event.club).user)
    start = reverse("format-start", args=[division.pk])
    client.post(start, {"source": "example:jam"})
    division.refresh_from_db()
    example = example_formats()["jam"]
    assert division.draft_format.name is None
    assert division.draft_format.passes.length_m in (None, (400.0,))
    assert division.draft_format.falls == example.falls
    assert division.draft_format.passes.seconds == example.passes.seconds


def test_a_draft_is_replaced_only_after_asking(
    client: Client, division: Division, address: str
) -> None:
    """The question names the division and offers to keep the draft."""
    before, start = division.draft, reverse("format-start", args=[division.pk])
    html = client.post(start, {"source": "example:jam"}).content.decode()
    assert f"Replace the draft of {division.name}?" in text_of(html)
    assert_labelled(html)
    division.refresh_from_db()
    assert division.draft == before
    client.post(start, {"source": "example:jam", "sure": "on"})
    division.refresh_from_db()
    assert division.draft_format.falls == example_formats()["jam"].falls


def test_copying_what_an_organiser_may_see(
    client: Client, division: Division, address: str
) -> None:
    """Own drafts and public editions can be copied; drafts and hidden rules of others not."""
    club = division.event.club
    own = DivisionFactory(event__club=club, draft={"falls": {"allowed": 4}})
    public = EditionFactory(data={"falls": {"allowed": 5}})
    hidden = EditionFactory(division__event__is_public=False, data={"falls": {"allowed": 6}})
    foreign = DivisionFactory(draft={"falls": {"allowed": 7}})
    start = reverse("format-start", args=[division.pk])
    for source, allowed in (
        (f"draft:{own.pk}", 4),
        (f"edition:{public.pk}", 5),
        (f"edition:{hidden.pk}", 5),
        (f"draft:{foreign.pk}", 5),
        ("example:nothing", 5),
        ("junk", 5),
    ):
        response = client.post(start, {"source": source, "sure": "on"}, follow=True)
        assert response.status_code == 200
        division.refresh_from_db()
        assert division.draft_format.falls.allowed == allowed


def test_every_example_reads_and_writes_the_same() -> None:
    """As TOML and back."""
    assert len(example_formats()) >= 6
    for format in example_formats().values():
        assert load_format(as_toml(format)) == format

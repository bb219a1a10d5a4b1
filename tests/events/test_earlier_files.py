"""An event started from files that were kept: formats and entries as the site exports them."""

from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from events.models import Division, Event
from riders.entry_files import write_entries
from riders.models import Entry, Rider
from tests.events.earlier_year import AFTER, BEFORE, confirm, organised
from tests.events.markup import assert_labelled, text_of

pytestmark = pytest.mark.django_db
GOOD = b'[passes]\ncount = 2\n[clock]\ndeclare_by = "2026-07-04T18:00"\n'
HEAD = b"Given name,Family name,E-mail,Division,Birth date,State\r\n"


@pytest.fixture
def event(client):
    return organised(client)


def kept(name, content=GOOD):
    return SimpleUploadedFile(name, content)


def send(client, event, formats, entries=None, **more):
    noon = f"{AFTER - timedelta(days=1)}T12:00"
    data = {
        "files-name": "Spring trial", "files-venue": event.venue.pk, "files-first_day": AFTER,
        "files-last_day": AFTER, "files-time_zone": "Europe/Zurich", "files-adult_age": 18,
        "files-entries_close": noon, "files-declare_by": noon, "files-earlier_day": BEFORE,
        "files-formats": formats, "look-files": "1",
    }  # fmt: skip
    if entries is not None:
        data["files-entries"] = SimpleUploadedFile("entries.csv", entries)
    address = reverse("event-from-earlier", args=[event.club.slug])
    return client.post(address, data | {f"files-{key}": value for key, value in more.items()})


def said(answer):
    assert answer.status_code == 200
    return text_of(answer.content.decode())


def test_what_the_site_exports_is_taken_over_again(client, event):
    """The site's own downloads, out and in: the drafts are the same but for the dates."""
    first, second = event.divisions.all()
    published = client.get(reverse("edition-text", args=[event.slug, first.slug, 1]))
    draft = client.get(reverse("format-text", args=[second.pk]) + "?download")
    files = [
        SimpleUploadedFile(each["Content-Disposition"].split('"')[1], each.content)
        for each in (published, draft)
    ]
    answer = send(client, event, files)
    text = said(answer)
    assert "One event and two divisions would be made." in text
    confirm(client, event.club, answer.context["sealed"])

    made = Event.objects.get(name="Spring trial")
    advanced, first_time = made.divisions.all()
    assert [advanced.name, first_time.name] == ["Advanced", "First time"]
    assert first_time.draft == {"passes": {"count": 1}}
    assert advanced.draft["limits"] == first.edition.data["limits"]
    assert advanced.draft["division"]["age_date"] == f"{AFTER.year}-06-30"


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_riders_of_a_file_are_listed_and_none_is_made(client, event, ending):
    line = {
        "given_name": "Runa",
        "family_name": "Ashmere",
        "email": "runa@example.org",
        "division": "Advanced",
    }
    rows = [
        line,
        {**line, "division": "First time"},
        {**line, "given_name": "Ina", "email": "ina@example.org", "state": "withdrawn"},
    ]
    before = Rider.objects.count(), Entry.objects.count()
    answer = send(client, event, [kept("x-advanced.toml")], write_entries(rows, ending))
    text = said(answer)

    assert "Runa Ashmere runa@example.org Advanced, First time" in text
    assert "ina@example.org" not in text
    assert "1 who withdrew is left out." in text
    assert "Division Advanced made" in text, "named as the entries say it"
    assert "This list is not kept." in text
    confirm(client, event.club, answer.context["sealed"])
    assert (Rider.objects.count(), Entry.objects.count()) == before


def test_each_bad_row_has_its_sentence(client, event):
    rows = HEAD + (
        b"Runa,Ashmere,runa@example,,,\r\n"
        b"Teo,Brack,teo@example.org,,1990-31-01,\r\n"
        b",Cray,,,,\r\n"
        b"Ulf,Dell,ulf@example.org,,,\r\n"
    )
    answer = send(client, event, [kept("x.toml")], rows)
    text = said(answer)

    assert "Three rows cannot be read." in text
    assert "Row 2 E-mail “runa@example”: This is no e-mail address." in text
    assert "Row 3 Birth date “1990-31-01”: Write the date as" in text
    assert "Row 4 Given name (empty): Write it: a row needs it." in text
    assert answer.context["riders"].addresses == ["ulf@example.org"]
    assert_labelled(answer.content.decode())


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty"),
        (b"\x00\x01\x02", "cannot be read as a CSV table"),
        (b"Colour,Shoe\r\nred,38\r\n", "It lacks Given name and Family name"),
        (HEAD, "There is no row in this file."),
        (b"PK\x03\x04 no zip", "cannot be read as an XLSX table"),
    ],
)
def test_files_of_entries_that_are_none(client, event, content, sentence):
    answer = send(client, event, [kept("x.toml")], content)

    assert sentence in said(answer)
    assert 'value="Spring trial"' in answer.content.decode()
    assert "Make this" not in answer.content.decode()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty"),
        (b"[passes\ncount = 2", "wrong.toml: This is not TOML that can be read: "),
        (b"\xff\xfe\x00", "wrong.toml is no text in UTF-8"),
        (b"[project]\nname = 3\n", "wrong.toml holds no value of a format"),
        (b"x = " + b"[" * 20_000, "wrong.toml: This is not TOML that can be read"),
        (b"#" * 60_001, "wrong.toml is larger than 60 kB"),
    ],
)
def test_files_that_are_no_format(client, event, content, sentence):
    answer = send(client, event, [kept("good.toml"), kept("wrong.toml", content)])

    assert sentence in said(answer)
    assert 'value="Spring trial"' in answer.content.decode()
    assert Event.objects.count() == 1
    assert "Make this" not in answer.content.decode()


def test_every_wrong_file_is_told_at_once(client, event):
    answer = send(
        client, event, [kept("a.toml", b"[a"), kept("b.toml", b"\xff"), kept("c.toml")]
    )

    assert "a.toml: This is not TOML" in said(answer)
    assert "b.toml is no text" in said(answer)


def test_no_file(client, event):
    assert "Choose one file for each division." in said(send(client, event, []))


def test_two_files_of_one_division(client, event):
    answer = send(client, event, [kept("cup-open-1.toml"), kept("cup-open-draft.toml")])

    assert "cup-open-1.toml and cup-open-draft.toml would both be the division" in said(answer)


def test_twenty_files_and_not_one_more(client, event):
    files = [kept(f"cup-class{n}x.toml") for n in range(20)]
    answer = send(client, event, files, HEAD + b"Runa,Ashmere,,,,\r\n")
    assert "One event and 20 divisions would be made." in said(answer)
    confirm(client, event.club, answer.context["sealed"])
    assert Division.objects.filter(event__name="Spring trial").count() == 20

    many = send(client, event, [kept(f"cup-class{n}x.toml") for n in range(21)])
    assert "These are 21 files; at most 20 can be read at once." in said(many)


def test_what_does_not_read_is_told_and_the_rest_is_made(client, event):
    answer = send(client, event, [kept("cup.toml", b"[passes]\ncount = 2\nlenght_m = 300\n")])

    assert 'There is no key "lenght_m" here; "length_m" may be meant.' in said(answer)
    confirm(client, event.club, answer.context["sealed"])
    assert Division.objects.get(event__name="Spring trial").draft == {"passes": {"count": 2}}


def test_without_the_earlier_day_dates_are_left_open(client, event):
    answer = send(client, event, [kept("cup.toml")], earlier_day="")

    assert "so dates in the formats are left open" in said(answer)
    assert "Cup: Declare by" in said(answer)
    confirm(client, event.club, answer.context["sealed"])
    assert Division.objects.get(event__name="Spring trial").draft == {"passes": {"count": 2}}


def test_the_event_is_held_to_the_rules_of_any_event(client, event):
    answer = send(
        client, event, [kept("cup.toml")], first_day=date(2001, 1, 1), time_zone="Lake"
    )
    text = said(answer)

    assert "The first day lies in the past" in text
    assert "Lake is not a time zone" in text


def test_a_file_named_like_markup_is_shown_as_text(client, event):
    html = send(client, event, [kept("<b>x.toml")]).content.decode()
    assert "<b>x" not in html

"""The format editor: what is typed becomes a format, and its faults stand where they belong."""

import re

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from events.forms.format_editor import FormatEditor
from events.forms.format_fields import SeveralField
from events.forms.format_rows import ROWS_MOST
from events.models import Division
from events.rules.format import Format
from events.rules.loading import as_data, load_format
from events.starts import example_formats
from tests.events.editor_page import typed
from tests.events.markup import assert_labelled, page, text_of
from tests.factories import (
    DivisionFactory,
    OfficialFactory,
)

pytestmark = pytest.mark.django_db


def error_beside(html: str, field: str) -> str:
    """The sentence that stands with a field, "" for none."""
    found = re.search(rf'id="id_{field}_error">(.*?)</div>', html, re.DOTALL)
    return text_of(found[1]).removeprefix("Error: ") if found else ""


@pytest.mark.parametrize("key", sorted(example_formats()))
def test_what_the_editor_shows_is_what_it_reads(client: Client, key: str) -> None:
    """Saving an untouched page keeps every value of each example format."""
    format = example_formats()[key]
    division = DivisionFactory(draft=as_data(format))
    client.force_login(OfficialFactory(club=division.event.club).user)
    address = reverse("format-edit", args=[division.pk])
    html = page(client, address)
    assert_labelled(html)
    assert client.post(address, typed(html) | {"do": ["save"]}).status_code == 302
    division.refresh_from_db()
    assert division.draft_format == format


def test_conditions_without_boxes_are_kept() -> None:
    """What only TOML can say comes back from the page unchanged."""
    text = """
    [clock]
    declare_by = 2027-06-12T18:00:00+02:00
    entries_close = 2027-06-10T18:00:00
    [division]
    age_date = 2027-01-01
    [judging]
    tie_breaks = ["fewer falls, then the last pass", "ride-off"]
    [[double_ups]]
    after_pass = 1
    rounds = []
    [[limits]]
    most = 1
    [limits.when]
    invert = true
    trick = ["tantrum"]
    any_of = [{ rotation_over = 360 }, { handle_pass = true, unless = { grabbed = true } }]
    unless = { family = ["raley"] }
    [[overrides]]
    when = { boat = ["small boat"] }
    set = { boat = { speed = "34 km/h" } }
    """
    format = load_format(text)
    shown = FormatEditor(draft=format)
    posted = QueryDict(mutable=True)
    for form in [*shown.groups, shown.overrides, *(r.choice for r in shown.lists)]:
        _send(posted, form)
    for rows in shown.lists:
        posted[f"{rows.prefix}-count"] = str(len(rows.forms))
        for form in rows.forms:
            _send(posted, form)
    read = FormatEditor(posted)
    assert read.check(), read.faults
    assert read.format == format


def _send(posted: QueryDict, form: object) -> None:
    for bound in form:  # type: ignore[attr-defined]
        value = bound.value()
        several = isinstance(bound.field, SeveralField)
        posted.setlist(bound.html_name, (value or []) if several else [value or ""])


def test_an_empty_page_states_nothing(client: Client, division: Division, address: str) -> None:
    """No field has a value of its own."""
    assert client.post(address, {"do": "save"}).status_code == 302
    division.refresh_from_db()
    assert division.draft == {}
    assert division.draft_format == Format()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("double_ups-0-cutoff_m", "450", "A marker at 450 m lies beyond the pass"),
        ("pickup_cutoffs-0-pass", "3", "There is no pass 3: the run has 2 passes."),
        ("passes-count", "two", "This must be a number, not 'two'."),
        ("passes-length_m", "400, 380, 300", "There are 2 passes: give one number"),
        ("passes-tricks_least", "8", "8 is more than the most allowed, 7."),
        ("falls-allowed", "21", "21 is out of range: it must be from 0 to 20."),
        ("falls-allowed", "9" * 5000, "This must be a number"),
        ("boat-speed", "36 knots", "'knots' is not a unit of speed"),
        ("boat-rope", "18", "Write a number and its unit (m or ft)"),
        ("clock-declare_by", "Friday evening", "'Friday evening' is not a date"),
        ("limits-0-most", "", "Say how many at most (0 for a ban)"),
        ("limits-1-when-rotation_over", "-3", "-3 is out of range"),
        ("limits-0-when-more", "any_of = 5", "This must be a list of conditions."),
        ("limits-0-when-more", "most = 5", "Only any_of and unless can stand here, not most."),
        ("limits-0-when-more", "any_of = [", "This is not TOML that can be read"),
        ("name", "x" * 400, "At most 300 characters fit here."),
        ("overrides", "[[overrides]]\nset = { falls = { allowed = 2 } }", "Say when it holds"),
        ("overrides", "[falls]\nallowed = 1", "Only overrides can stand here, not falls."),
        (
            "overrides",
            '[[overrides]]\nwhen = { round = "final" }\nset = { passes = { count = 1 } }',
            "There is no pass 2: the run has 1 pass.",
        ),
        (
            "overrides",
            f"[[overrides]]\nset = {'9' * 5000}",
            "This is not TOML that can be read",
        ),
    ],
)
def test_a_fault_stands_beside_its_field(
    client: Client, division: Division, address: str, field: str, value: str, sentence: str
) -> None:
    """Nothing is saved, and all that was typed is still on the page."""
    before = division.draft
    sent = typed(page(client, address)) | {field: [value], "do": ["save"]}
    response = client.post(address, sent)
    html = response.content.decode()
    assert response.status_code == 200
    assert sentence in error_beside(html, field)
    assert "Please put this right" in html
    division.refresh_from_db()
    assert division.draft == before
    del sent["do"]
    assert {k: v for k, v in typed(html).items() if v != [""]} == {
        k: v for k, v in sent.items() if v != [""]
    }
    assert_labelled(html)


def test_a_condition_that_nothing_meets_is_named_at_its_row(
    client: Client, address: str
) -> None:
    """A turn of 90 degrees is never landed."""
    sent = typed(page(client, address)) | {"limits-1-when-rotation": ["90"], "do": ["check"]}
    html = client.post(address, sent).content.decode()
    assert (
        text_of(html).count("No trick can meet this condition") == 2
    )  # at the top and the row


def test_rows_that_say_nothing_are_left_out(client: Client, address: str) -> None:
    """An empty row shifts neither the others nor their faults."""
    sent = typed(page(client, address)) | {"limits-row": ["add"]}
    sent = typed(client.post(address, sent).content.decode()) | {"limits-row": ["up-3"]}
    sent = typed(client.post(address, sent).content.decode()) | {"limits-row": ["up-2"]}
    html = client.post(address, sent).content.decode()
    assert 'name="limits-0-say" value' not in html
    sent = typed(html) | {"limits-2-most": ["1000"], "do": ["save"]}
    html = client.post(address, sent).content.decode()
    assert "1000 is out of range" in error_beside(html, "limits-2-most")


def test_rows_are_added_moved_and_removed_by_plain_buttons(
    client: Client, division: Division, address: str
) -> None:
    """Typed values go with their rows; nothing is saved on the way."""
    before = division.draft
    first, second = "At most two inverts", "Backside spins no further than 180"
    sent = typed(page(client, address), falls__allowed="3") | {"limits-row": ["down-1"]}
    html = client.post(address, sent).content.decode()
    assert html.index(second) < html.index(first)
    assert 'name="falls-allowed" value="3"' in html
    html = client.post(address, typed(html) | {"limits-row": ["remove-1"]}).content.decode()
    assert f'value="{second}"' not in html
    assert 'name="limits-count" value="1"' in html
    html = client.post(address, typed(html) | {"double_ups-row": ["add"]}).content.decode()
    assert 'name="double_ups-1-name" value="double-up"' in html
    division.refresh_from_db()
    assert division.draft == before
    assert client.post(address, typed(html) | {"do": ["save"]}).status_code == 302
    division.refresh_from_db()
    assert [limit.say for limit in division.draft_format.limits] == [first]
    assert len(division.draft_format.double_ups) == 2


@pytest.mark.parametrize(
    "press", ["up-1", "down-2", "up-99", "remove-0", "fly-1", "up-", "-", "up-²"]
)
def test_a_button_that_leads_nowhere_changes_nothing(
    client: Client, address: str, press: str
) -> None:
    """The first row goes no further up; made-up buttons are harmless."""
    sent = typed(page(client, address))
    html = client.post(address, sent | {"limits-row": [press]}).content.decode()
    assert typed(html) == sent


def test_not_stated_and_none_are_told_apart(
    client: Client, division: Division, address: str
) -> None:
    """A list may be open, stated to be empty, or given."""
    html = page(client, address)
    for _ in range(2):
        html = client.post(address, typed(html) | {"limits-row": ["remove-1"]}).content.decode()
    client.post(address, typed(html) | {"do": ["save"]})
    division.refresh_from_db()
    assert division.draft_format.limits is None
    html = page(client, address)
    client.post(address, typed(html, limits__stated="none") | {"do": ["save"]})
    division.refresh_from_db()
    assert division.draft_format.limits == ()
    html = client.post(address, typed(html, limits__stated="listed") | {"do": ["save"]}).content
    assert "Add an entry, or choose" in html.decode()


@pytest.mark.parametrize("said", ["", "none"])
def test_entries_are_not_dropped_silently(client: Client, address: str, said: str) -> None:
    """Saying "none" above a list of entries is asked about."""
    sent = typed(page(client, address), limits__stated=said) | {"do": ["save"]}
    html = client.post(address, sent).content.decode()
    assert "There are entries: choose" in html
    assert 'value="At most two inverts"' in html


def test_yes_no_and_not_stated_are_three_answers(
    client: Client, division: Division, address: str
) -> None:
    """Yes, no, and left open."""
    for answer, meant in (("yes", True), ("no", False), ("", None)):
        sent = typed(page(client, address), declared_order__binding=answer) | {"do": ["save"]}
        client.post(address, sent)
        division.refresh_from_db()
        assert division.draft_format.declared_order.binding is meant


@pytest.mark.parametrize(
    ("text", "metres"),
    [("400", (400,)), ("400, 380", (400, 380)), ("400,380", (400, 380)), (" 350.5 ", (350.5,))],
)
def test_one_length_or_one_for_each_pass(
    client: Client, division: Division, address: str, text: str, metres: tuple[float, ...]
) -> None:
    """In one field, with commas between."""
    client.post(address, typed(page(client, address), passes__length_m=text) | {"do": ["save"]})
    division.refresh_from_db()
    assert division.draft_format.passes.length_m == metres


def test_checking_saves_nothing(client: Client, division: Division, address: str) -> None:
    """And says that nothing contradicts itself."""
    before = division.draft
    sent = typed(page(client, address), falls__allowed="2") | {"do": ["check"]}
    words = text_of(client.post(address, sent).content.decode())
    assert "Nothing contradicts itself. Nothing is saved yet." in words
    division.refresh_from_db()
    assert division.draft == before


@pytest.mark.parametrize("count", ["61", "5000", "9" * 30])
def test_too_many_rows_are_refused_with_a_sentence(
    client: Client, division: Division, address: str, count: str
) -> None:
    """The first sixty stay on the page."""
    sent = typed(page(client, address), limits__count=count) | {"do": ["save"]}
    for row in range(ROWS_MOST + 20):
        sent |= {f"limits-{row}-most": ["1"], f"limits-{row}-say": [f"Words {row}"]}
    response = client.post(address, sent)
    html = response.content.decode()
    assert response.status_code == 200
    assert f"At most {ROWS_MOST} rows fit here" in html
    assert f'name="limits-{ROWS_MOST - 1}-say" value="Words {ROWS_MOST - 1}"' in html
    division.refresh_from_db()
    assert len(division.draft["limits"]) == 2


def test_the_course_is_drawn_from_what_is_typed(
    client: Client, division: Division, address: str
) -> None:
    """The fragment shows unsaved values; faults do not keep it from being drawn."""
    strip = reverse("format-strip", args=[division.pk])
    sent = typed(page(client, address), passes__length_m="370", falls__allowed="many")
    html = client.post(strip, sent, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in html
    assert "Pass 2: left to right, 370 m" in html
    assert "370 m" not in page(client, address)


def test_the_course_is_redrawn_at_each_press_without_javascript(
    client: Client, address: str
) -> None:
    """Also when something else on the page is at fault."""
    sent = typed(page(client, address), passes__length_m="370", falls__allowed="many")
    html = client.post(address, sent | {"do": ["check"]}).content.decode()
    assert "Pass 1: left to right, 370 m" in html

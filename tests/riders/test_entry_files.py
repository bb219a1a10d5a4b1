"""Entries as a file: every encoding and separator, bad cells named, nothing by half, no doubles."""

from contextlib import suppress
from datetime import date
from io import BytesIO

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Act, Letter, Official
from riders.entry_files import ROWS_MOST, read_entries
from riders.models import Entry, Rider
from riders.spreadsheets import FileProblem
from tests.factories import DivisionFactory, EditionFactory, EntryFactory, OfficialFactory
from tests.riders.entry_desk import ADULT, CHILD, HEAD, address, confirm, kinds, send


@pytest.fixture
def division(db, client):
    division = DivisionFactory(name="Open")
    client.force_login(OfficialFactory(club=division.event.club).user)
    return division


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"]
)
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(encoding, separator):
    table = read_entries((HEAD + ADULT).replace(",", separator).encode(encoding))

    number, cells = table.rows[0]
    assert (number, cells["given_name"], cells["fee"]) == (2, "Zoë", "paid")


def test_headings_are_tolerant_and_unknown_ones_named():
    table = read_entries(b"FIRST-NAME, surname ,Shoe size\nIlka,Reed,42\n")

    assert table.rows == [(2, {"given_name": "Ilka", "family_name": "Reed"})]
    assert table.unknown == ["Shoe size"]


@pytest.mark.parametrize(
    ("content", "say"),
    [
        (b"", "no row"),
        (HEAD.encode(), "no row"),
        (b"Name,Club\nIlka,Reed\n", "lacks Given name and Family name"),
        (b"Given name,First name,Surname\na,b,c\n", "twice"),
        (b"PK\x03\x04 broken", "XLSX"),
        (HEAD.encode() + ADULT.encode() * (ROWS_MOST + 1), "more than 500 rows"),
    ],
)
def test_files_that_cannot_be_read(content, say):
    with pytest.raises(FileProblem, match=say):
        read_entries(content)


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=300),
        st.binary(max_size=100).map(lambda junk: b"PK\x03\x04" + junk),
        st.text(max_size=200).map(lambda text: (HEAD + text).encode("utf-8", "ignore")),
    )
)
def test_junk_is_read_or_refused_in_words(content):
    """Whatever is in the file: no other error than the sentence of FileProblem."""
    with suppress(FileProblem):
        assert read_entries(content).rows


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.text(st.characters(exclude_categories=["Cs"]), max_size=30), min_size=9, max_size=9
    )
)
def test_junk_cells_never_break_the_page(client, division, cells):
    page = send(client, division, HEAD + ",".join(cells) + "\n" + ADULT)

    assert page.status_code == 200
    assert not Entry.objects.exists()


def test_seen_first_then_taken_in_then_not_doubled(client, division):
    page = send(client, division, HEAD + ADULT + CHILD)

    assert kinds(page) == ["made", "made"]
    assert not Rider.objects.exists()
    assert not Letter.objects.exists()
    assertContains(confirm(client, division, page), "2 made, 0 changed")
    zoe = Entry.objects.get(rider__given_name="Zoë")
    assert (zoe.fee, zoe.rider.born_on) == ("paid", date(1990, 2, 28))
    assert not zoe.rider.user.has_usable_password()
    tam = Entry.objects.get(rider__given_name="Tam")
    assert tam.consented_at
    assert tam.rider.born_on == date(2014, 7, 30)
    assert Act.objects.filter(what__startswith="Took entries in").count() == 1
    again = send(client, division, HEAD + ADULT + CHILD.replace("555-0100", "555-0199"))
    assert kinds(again) == ["unchanged", "changed"]
    confirm(client, division, again)
    tam.refresh_from_db()
    assert tam.guardian_phone == "555-0199"
    assert Rider.objects.count() == Entry.objects.count() == 2


def test_told_by_name_and_birth_date(client, division):
    entry = EntryFactory(division=division, rider__born_on=date(1990, 1, 2))
    row = f"{entry.rider.given_name},{entry.rider.family_name},,Open,2.1.1990,,,,waived\n"

    page = send(client, division, HEAD + row)

    assertContains(page, "by name and birth date")
    assert kinds(page) == ["changed"]


def test_every_bad_cell_is_named_and_nothing_written(client, division):
    rows = (
        "Bo,Reed,no-mail,Closed,31.2.2000,,,perhaps,later\n" + CHILD.replace("yes", "") + ADULT
    )
    page = send(client, division, HEAD + rows + ADULT)

    assertContains(page, "Three rows cannot be taken in.")
    for say in (
        "This is no e-mail address", "divisions: Open", "Write the date as", "Write yes or no",
        "Write Due, Paid or Waived", "ask them, then write yes", "Row 4 is the same rider",
    ):  # fmt: skip
        assertContains(page, say)
    assert page.context["sealed"] == ""
    assert not Entry.objects.exists()


def test_a_failed_row_leaves_nothing_for_the_next_of_the_same_rider(client, division):
    other = DivisionFactory(event=division.event, name="Junior")
    bad = CHILD.replace("yes", "")

    page = send(client, division, HEAD + bad + CHILD.replace("Open", other.name))

    assert len(page.context["look"].bad) == 1
    assert kinds(page) == ["made"]


def test_the_account_of_somebody_is_not_changed(client, division):
    entry = EntryFactory(
        division=division, rider__born_on=date(1990, 1, 2), rider__club_name="A"
    )
    user = entry.rider.user
    user.last_login = entry.entered_at
    user.save()
    who = f"{entry.rider.given_name},{entry.rider.family_name},{user.email},Open"

    assertContains(send(client, division, HEAD + f"{who},1991-01-02,,,,\n"), "own account")
    assertContains(
        send(client, division, HEAD + f"Bo,Reed,{user.email},Open,,,,,\n"), "another name"
    )


def test_places_follow_the_waiting_list(client, division):
    stated = {"entries_most": 1, "beyond": "waiting list"}
    EditionFactory(division=division, data={"division": stated})

    page = send(client, division, HEAD + ADULT + CHILD)

    assertContains(page, "on the waiting list")
    confirm(client, division, page)
    assert list(Entry.objects.order_by("pk").values_list("state", flat=True)) == [
        "riding",
        "waiting",
    ]


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_there_and_back(client, division, ending):
    entry = EntryFactory(
        division=division,
        guardian="=1+1",
        wishes="-rope",
        rank=3,
        rider__born_on=date(1990, 1, 2),
    )
    EntryFactory(division=division, state=Entry.State.WITHDRAWN)
    EntryFactory(division=division, rider__sex="women", fee="paid", guardian="'quoted")

    answer = client.get(address(division, f"export.{ending}"))
    data = b"".join(answer.streaming_content)

    if ending == "xlsx":
        cells = {
            cell.value for row in openpyxl.load_workbook(BytesIO(data)).active for cell in row
        }
        assert "'=1+1" in cells
    page = send(client, division, data)
    assert kinds(page) == ["unchanged", "left out", "unchanged"]
    assert read_entries(data).rows[0][1]["guardian"] == entry.guardian


def test_the_table_gets_no_contacts(client, division):
    EntryFactory(division=division, guardian_phone="555-0142", rider__born_on=date(2012, 1, 2))
    client.force_login(OfficialFactory(club=division.event.club, role=Official.Role.TABLE).user)

    text = b"".join(client.get(address(division, "export.csv")).streaming_content).decode()

    assert "Moorfield" in text
    for private in ("555-0142", "2012-01-02", "@example.org", "Birth"):
        assert private not in text
    assert client.get(address(division)).status_code == 403
    assert client.get(address(division, "import/template.csv")).status_code == 403


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_template_can_be_taken_in(client, division, ending):
    data = b"".join(
        client.get(address(division, f"import/template.{ending}")).streaming_content
    )

    assert kinds(send(client, division, data)) == ["made"]


def test_another_ending_and_a_preview_that_was_changed(client, division):
    assert client.get(address(division, "export.exe")).status_code == 404
    assert client.get(address(division, "import/template.exe")).status_code == 404
    page = client.post(address(division, "import/confirm/"), {"rows": "junk"}, follow=True)
    assertContains(page, "no longer valid")


def test_queries_are_flat(client, division, django_assert_max_num_queries):
    """The form, the files, and looking at rows that are entered already."""
    entries = EntryFactory.create_batch(20, division=division)
    with django_assert_max_num_queries(6):
        client.get(address(division))
    with django_assert_max_num_queries(6):
        data = b"".join(client.get(address(division, "export.csv")).streaming_content)
    assert len(entries) == len(read_entries(data).rows)
    with django_assert_max_num_queries(12):
        page = send(client, division, data)
    assertNotContains(page, "cannot be taken in")
    assert kinds(page) == ["unchanged"] * 20

"""The landing log as a file: there and back, bad rows named, nothing written by half."""

import csv
from datetime import date, timedelta
from io import BytesIO, StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django.asserts import assertContains, assertNotContains

from events.rules.vocabulary import standard_vocabulary
from riders.log_csv import (
    read_csv,
    sealed,
    unsealed,
    write_csv,
)
from riders.log_models import LandingDay
from riders.log_services import FIELDS, Line
from riders.log_words import TrickReader
from riders.spreadsheets import FileProblem, guarded, unguarded
from tests.factories import RiderFactory

IMPORT = "/riding/log/import/"
HEAD = "trick,day,landed,tried,setting,note\n"
ROW = "HS backroll,2026-07-18,9,10,contest,glassy\n"
SPREADSHEET = (
    "\ufeffTrick;Day;Landed;Tried\r\nHS backroll;2026-07-18;9;10\r\nindy;2026-07-18;1;2\r\n"
)


@pytest.fixture
def rider(db, client):
    """A signed-in rider without an entry."""
    rider = RiderFactory()
    client.force_login(rider.user)
    return rider


def send(client, content: str | bytes):
    data = content.encode() if isinstance(content, str) else content
    return client.post(IMPORT, {"file": SimpleUploadedFile("log.csv", data, "text/csv")})


def confirm(client, page):
    return client.post(f"{IMPORT}confirm/", {"lines": page.context["sealed"]}, follow=True)


def content_of(rider):
    return sorted(rider.landing_days.values_list(*FIELDS))


def reader() -> TrickReader:
    return TrickReader(standard_vocabulary())


class TestExport:
    def test_is_a_plain_csv_file(self, rider, client):
        """RFC 4180: commas, CR LF at the end of every line, quotes only doubled in quotes."""
        LandingDay.objects.create(
            rider=rider, trick="HS backroll", day=date(2026, 7, 18), landed=9, tried=10,
            note='wake "tall", full ballast',
        )  # fmt: skip

        answer = client.get("/riding/log/export.csv")

        assert answer.content.decode() == (
            "trick,day,landed,tried,setting,note\r\n"
            'HS backroll,2026-07-18,9,10,practice,"wake ""tall"", full ballast"\r\n'
        )
        assert answer.headers["Content-Type"].startswith("text/csv")
        assert "attachment" in answer.headers["Content-Disposition"]

    def test_an_empty_log_has_the_names_only(self, rider, client):
        assert (
            client.get("/riding/log/export.csv").content
            == b"trick,day,landed,tried,setting,note\r\n"
        )

    @pytest.mark.parametrize(
        "note", ["=1+2", "+1", "-1", "@x", "\tx", "＝1", "=cmd|' /C calc'!A0"]
    )
    def test_no_cell_begins_like_a_formula(self, note):
        """The signs named by the OWASP page on CSV injection (from memory)."""
        line = LandingDay(trick="Indy", day=date(2026, 7, 18), landed=1, tried=1, note=note)

        cells = list(csv.reader(StringIO(write_csv([line]), newline="")))[1]

        assert cells[5] == f"'{note}"


class TestGuard:
    @given(st.text(max_size=20))
    def test_reading_takes_away_what_writing_put_there(self, cell):
        assert unguarded(guarded(cell)) == cell
        assert not guarded(cell).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))

    def test_an_ordinary_apostrophe_stays(self):
        assert unguarded("'twas glassy") == "'twas glassy"


NOTES = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"])
    | st.sampled_from("=+-@'\";,"),
    max_size=40,
).map(lambda text: " ".join(text.split()))
NAMES = st.sampled_from([trick.name for trick in standard_vocabulary().tricks][:60])
LINES = st.builds(
    lambda trick, day, tried, missed, setting, note: Line(
        trick, day, max(0, tried - missed), tried, setting, note
    ),
    NAMES.map(lambda name: reader().read(name)),
    st.dates(date(1990, 1, 1), date(2026, 1, 1)),
    st.integers(1, 9999), st.integers(0, 9999), st.sampled_from(LandingDay.Setting.values), NOTES,
)  # fmt: skip


class TestRoundTrip:
    @settings(max_examples=40)
    @given(st.lists(LINES, min_size=1, max_size=6))
    def test_what_is_written_reads_back(self, lines):
        """Also notes with quotes, separators, apostrophes and the signs of formulas."""
        text = write_csv(LandingDay(**line._asdict()) for line in lines)

        upload = read_csv(text.encode(), reader())

        assert upload.bad == []
        assert upload.lines == lines

    def test_from_one_rider_to_another(self, rider, client):
        for number, note in enumerate(["", "=1+2", "'quoted'", "a;b,c", "ø 雪"]):
            LandingDay.objects.create(
                rider=rider, trick="HS backroll", day=date(2026, 7, 1) + timedelta(days=number),
                landed=number, tried=5, setting="contest", note=note,
            )  # fmt: skip
        file = client.get("/riding/log/export.csv").content
        other = RiderFactory()
        client.force_login(other.user)

        confirm(client, send(client, file))

        assert content_of(other) == content_of(rider)


class TestImport:
    def test_nothing_is_written_before_it_is_confirmed(self, rider, client):
        page = send(client, HEAD + ROW)

        assertContains(page, "One new line to take in.")
        assert not LandingDay.objects.exists()
        assertContains(confirm(client, page), "One line taken in.")
        assert content_of(rider) == [
            ("HS backroll", date(2026, 7, 18), 9, 10, "contest", "glassy")
        ]

    def test_a_spreadsheets_file(self, rider, client):
        """Byte order mark, semicolons, names in capitals, setting and note left out."""
        confirm(client, send(client, SPREADSHEET))

        assert content_of(rider) == [
            ("HS backroll", date(2026, 7, 18), 9, 10, "practice", ""),
            ("Indy", date(2026, 7, 18), 1, 2, "practice", ""),
        ]

    def test_the_same_file_twice_does_not_double(self, rider, client):
        file = HEAD + ROW + "Indy,2026-07-18,1,2,practice,\n"
        confirm(client, send(client, file))

        again = send(client, file)

        assertContains(again, "Nothing is new in this file.")
        assertContains(again, "All 2 lines stand in your log already")
        assert LandingDay.objects.count() == 2

    def test_a_file_with_old_and_new_rows_says_so(self, rider, client):
        confirm(client, send(client, HEAD + ROW))

        page = send(client, HEAD + ROW + "Indy,2026-07-18,1,2,practice,\n")

        assertContains(page, "One new line to take in.")
        assertContains(page, "One line of the file stands in your log already")
        assertContains(confirm(client, page), "One line stood in your log already.")
        assert LandingDay.objects.count() == 2

    def test_a_confirmation_pressed_twice_does_not_double(self, rider, client):
        page = send(client, HEAD + ROW)
        confirm(client, page)
        confirm(client, page)

        assert LandingDay.objects.count() == 1

    def test_two_equal_sets_of_one_day_are_two_lines(self, rider, client):
        confirm(client, send(client, HEAD + ROW + ROW))
        confirm(client, send(client, HEAD + ROW + ROW))

        assert LandingDay.objects.count() == 2

    def test_every_bad_row_and_cell_is_named(self, rider, client):
        page = send(
            client,
            HEAD + ROW + "HS bakroll,2026-13-18,6,5,beach,\n\nIndy,2026-07-18,-1,x,practice,\n",
        )

        assertContains(page, "Two rows cannot be read.")
        for words in (
            "Row 3", "“HS bakroll”", "Did you mean HS backroll", "“2026-13-18”",
            "Write the day as year-month-day", "6 landed of 5 tried cannot be", "“beach”",
            "Choose one of: practice", "Row 5", "Write 0 or more.", "Write a whole number",
        ):  # fmt: skip
            assertContains(page, words)
        assertNotContains(page, "Take them in")
        assert page.context["sealed"] == ""
        assert not LandingDay.objects.exists()

    @pytest.mark.parametrize(
        ("content", "sentence"),
        [
            ("", "There is no row in this file."),
            (HEAD, "There is no row in this file."),
            ("trick,day\nIndy,2026-07-18\n", "It lacks landed, tried."),
            ("trick,trick,day,landed,tried\n", "names the column trick twice"),
            (b"\xff\xfe\x00", "This file is not UTF-8 text."),
            (b"trick\x00", "cannot be read as a CSV table"),
            ("x" * 1024 * 1024 + "x", "larger than 1 MB"),
            (HEAD + ROW * 5001, "more than 5000 rows"),
        ],
    )
    def test_files_that_cannot_be_read(self, rider, client, content, sentence):
        page = send(client, content)

        assertContains(page, sentence)
        assertContains(page, 'type="file"')

    def test_no_file(self, rider, client):
        assertContains(client.post(IMPORT, {}), "Choose a file first.")

    def test_the_largest_file_is_taken(self, rider, client):
        days = (date(2000, 1, 1) + timedelta(days=n) for n in range(5000))
        file = HEAD + "".join(f"HS backroll,{day},1,2,practice,\n" for day in days)

        confirm(client, send(client, file))

        assert LandingDay.objects.count() == 5000

    def test_a_file_full_of_unknown_tricks_is_answered(self, rider, client):
        rows = "".join(f"Reed {n}flop,2026-07-18,1,2,practice,\n" for n in range(600))

        page = send(client, HEAD + rows)

        assertContains(page, "600 rows cannot be read.")
        assertContains(page, "Not looked up, because 200 other trick names")

    @pytest.mark.parametrize("lines", ["", "junk", "eyJ4IjoxfQ:1abc:xyz", "\x00"])
    def test_what_was_not_previewed_is_not_taken_in(self, rider, client, lines):
        page = client.post(f"{IMPORT}confirm/", {"lines": lines}, follow=True)

        assertContains(page, "This preview is no longer valid")
        assert not LandingDay.objects.exists()

    def test_a_preview_of_somebody_else_is_not_taken_in(self, rider, client):
        line = Line("Indy", date(2026, 7, 18), 1, 2, "practice", "")

        client.post(f"{IMPORT}confirm/", {"lines": sealed([line], RiderFactory())})

        assert not LandingDay.objects.exists()
        assert unsealed(sealed([line], rider), rider) == [line]

    def test_all_or_nothing(self, rider, client, monkeypatch):
        """A database that refuses one line takes none of them in."""
        good = Line("Indy", date(2026, 7, 18), 1, 2, "practice", "")
        impossible = Line("Indy", date(2026, 7, 18), 3, 2, "practice", "")
        client.raise_request_exception = False

        answer = client.post(f"{IMPORT}confirm/", {"lines": sealed([good, impossible], rider)})

        assert answer.status_code == 500  # signed by the site itself: no visitor can send it
        assert not LandingDay.objects.exists()


class TestJunk:
    @settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode) | st.lists(
        st.sampled_from(["trick", "day", "landed", "tried", ",", ";", "\n", "\r\n", '"', "'", "=", "1",
                         "Indy", "2026-07-18", "\t", "\ufeff"]), max_size=40,
    ).map(lambda parts: (HEAD + "".join(parts)).encode()))  # fmt: skip
    def test_any_bytes_are_answered_with_a_page(self, rider, client, content):
        answer = client.post(IMPORT, {"file": BytesIO(content)})

        assert answer.status_code == 200
        assert not LandingDay.objects.exists()

    @given(st.binary(max_size=200))
    def test_any_bytes_read_or_raise_a_sentence(self, content):
        try:
            upload = read_csv(content, reader())
        except FileProblem:
            return  # any other error fails the test
        assert upload.lines or upload.bad

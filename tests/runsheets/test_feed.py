"""The calendar: by the letter of RFC 5545 and RFC 7986, and as another library reads it."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from runsheets.timing.feed import FeedEvent, FeedRow, RowStatus, calendar

ZURICH = ZoneInfo("Europe/Zurich")
START = datetime(2026, 7, 4, 10, 20, tzinfo=ZURICH)
NOTED = datetime(2026, 7, 1, 8, 0, 0, 123456, tzinfo=UTC)
CONTEST = FeedEvent(
    "reed-lake-cup@example.org", "Reed Lake Cup", "Europe/Zurich", "Reed Lake, dock"
)
ROW = FeedRow(
    "heat-7@example.org", START, START + timedelta(minutes=26), "Open, Final, heat 1", NOTED, NOTED
)  # fmt: skip


def lines(event: FeedEvent = CONTEST, *rows: FeedRow) -> list[str]:
    """The content lines, unfolded as section 3.1 of RFC 5545 says."""
    text = calendar(event, rows).decode()
    return text.replace("\r\n ", "").replace("\r\n\t", "").removesuffix("\r\n").split("\r\n")


def read(event: FeedEvent, *rows: FeedRow):
    """What vobject, which shares nothing with the library that writes, makes of it."""
    return vobject.readOne(calendar(event, rows).decode())


def test_a_whole_calendar():
    """Zurich is two hours ahead of UTC in July: 10:20 is 8:20 UTC."""
    found = lines(CONTEST, ROW)
    assert found[:2] == ["BEGIN:VCALENDAR", "VERSION:2.0"]
    assert sorted(found[2:11]) == [
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        "NAME:Reed Lake Cup",
        "PRODID:-//Buoyline//Contest times//EN",
        "REFRESH-INTERVAL;VALUE=DURATION:PT15M",
        "UID:reed-lake-cup@example.org",
        "X-PUBLISHED-TTL:PT15M",
        "X-WR-CALNAME:Reed Lake Cup",
        "X-WR-TIMEZONE:Europe/Zurich",
    ]
    assert found[11] == "BEGIN:VEVENT"
    assert sorted(found[12:-2]) == [
        "CREATED:20260701T080000Z",
        "DTEND:20260704T084600Z",
        "DTSTAMP:20260701T080000Z",
        "DTSTART:20260704T082000Z",
        "LAST-MODIFIED:20260701T080000Z",
        "LOCATION:Reed Lake\\, dock",
        "SEQUENCE:0",
        "STATUS:CONFIRMED",
        "SUMMARY:Open\\, Final\\, heat 1",
        "TRANSP:OPAQUE",
        "UID:heat-7@example.org",
    ]
    assert found[-2:] == ["END:VEVENT", "END:VCALENDAR"]


def test_an_independent_reader_finds_the_same():
    told = read(CONTEST, ROW)
    event = told.vevent

    assert told.method.value == "PUBLISH"
    assert event.summary.value == "Open, Final, heat 1"
    assert event.location.value == "Reed Lake, dock"
    assert event.dtstart.value.astimezone(UTC) == START.astimezone(UTC)
    assert event.dtend.value - event.dtstart.value == timedelta(minutes=26)
    assert event.uid.value == ROW.uid
    assert told.validate()


def test_a_change_keeps_the_name_and_counts_up():
    """RFC 5545, sections 3.8.4.7 and 3.8.7.4: same UID, higher SEQUENCE."""
    later = replace(ROW, revision=1, start=START + timedelta(minutes=12), end=START + timedelta(minutes=38),
                    changed_at=NOTED + timedelta(days=3))  # fmt: skip
    event = read(CONTEST, later).vevent

    assert (event.uid.value, event.sequence.value) == (ROW.uid, "1")
    assert (
        event.dtstamp.value
        == event.last_modified.value
        == datetime(2026, 7, 4, 8, 0, tzinfo=UTC)
    )
    assert event.created.value == datetime(2026, 7, 1, 8, 0, tzinfo=UTC)


def test_the_same_rows_make_the_same_bytes():
    assert calendar(CONTEST, [ROW]) == calendar(CONTEST, iter([ROW]))


def test_a_row_taken_out_is_told_as_cancelled_and_blocks_no_time():
    found = lines(CONTEST, replace(ROW, status=RowStatus.CANCELLED))

    assert "STATUS:CANCELLED" in found
    assert "TRANSP:TRANSPARENT" in found


@pytest.mark.parametrize("microseconds", [0, 999])
def test_a_row_that_takes_no_time_has_no_end(microseconds: int):
    """RFC 5545, section 3.8.2.2: an end must be later than the start."""
    moment = replace(ROW, end=START + timedelta(microseconds=microseconds))
    found = lines(CONTEST, moment)

    assert "DTSTART:20260704T082000Z" in found
    assert not [line for line in found if line.startswith("DTEND")]
    assert read(CONTEST, moment).vevent.dtstart.value.astimezone(UTC) == START.astimezone(UTC)


def test_a_calendar_without_rows_can_be_read():
    """A feed may be subscribed to before the times are published."""
    assert [line for line in lines() if "VEVENT" in line] == []
    assert read(CONTEST).method.value == "PUBLISH"


def test_what_else_the_contest_says():
    more = replace(CONTEST, description="Two days;\nbring a vest.", url="https://cup.example.org/a,b;c",
                   changed_at=NOTED, refresh=timedelta(hours=2))  # fmt: skip
    found = lines(
        more,
        replace(
            ROW,
            location="Jetty",
            description="Ready 30 minutes before.",
            url="https://cup.example.org/7",
        ),
    )

    for line in (
        "DESCRIPTION:Two days\\;\\nbring a vest.", "URL:https://cup.example.org/a,b;c",
        "LAST-MODIFIED:20260701T080000Z", "REFRESH-INTERVAL;VALUE=DURATION:PT2H", "LOCATION:Jetty",
        "DESCRIPTION:Ready 30 minutes before.", "URL:https://cup.example.org/7",
    ):  # fmt: skip
        assert line in found


def test_text_is_escaped():
    """RFC 5545, section 3.3.11: backslash, semicolon, comma and line end."""
    found = lines(CONTEST, replace(ROW, description="a\\b;c,d\r\ne\rf:g\"h'"))

    assert "DESCRIPTION:a\\\\b\\;c\\,d\\ne\\nf:g\"h'" in found


def test_a_long_line_is_folded_between_characters():
    """RFC 5545, section 3.1: no line beyond 75 octets, no character torn apart."""
    summary = "Ä" * 30 + "🏄" * 30 + "a" * 120
    raw = calendar(CONTEST, [replace(ROW, summary=summary)])

    for line in raw.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    assert read(CONTEST, replace(ROW, summary=summary)).vevent.summary.value == summary


def test_text_cannot_smuggle_in_a_property():
    """A name with a line end in it stays one value."""
    bad = replace(
        ROW, summary="Heat\r\nATTENDEE:mailto:a@example.org", location="x\nSTATUS:CANCELLED"
    )
    found = lines(replace(CONTEST, name="Cup\r\nX-EVIL:1"), bad)

    assert [line for line in found if line.startswith(("ATTENDEE", "X-EVIL"))] == []
    assert "SUMMARY:Heat ATTENDEE:mailto:a@example.org" in found
    assert found.count("STATUS:CONFIRMED") == 1


@pytest.mark.parametrize(
    ("event", "rows", "sentence"),
    [
        (CONTEST, [replace(ROW, start=datetime(2026, 7, 4, 10))], "start needs a time zone"),
        (CONTEST, [replace(ROW, changed_at=datetime(2026, 7, 4))], "changed_at needs a time zone"),
        (CONTEST, [replace(ROW, end=START - timedelta(minutes=1))], "Open, Final, heat 1 ends before"),
        (CONTEST, [ROW, ROW], "heat-7@example.org is in the calendar twice"),
        (CONTEST, [replace(ROW, uid=" ")], "Each entry of a calendar needs a name"),
        (replace(CONTEST, uid="a\nb"), [], "Each entry of a calendar needs a name"),
        (CONTEST, [replace(ROW, revision=-1)], "Open, Final, heat 1: changes are counted from 0"),
        (CONTEST, [replace(ROW, url="https://x.example/\nA:b")], "An address in a calendar cannot"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(event: FeedEvent, rows: list[FeedRow], sentence: str):
    with pytest.raises(ValueError, match=f"^{re.escape(sentence)}"):
        calendar(event, rows)


def test_the_hour_that_comes_twice():
    """Zurich, 25 October 2026: 2:30 first is 0:30 UTC, and 2:30 again is 1:30 UTC."""
    first = datetime(2026, 10, 25, 2, 30, tzinfo=ZURICH)
    found = lines(CONTEST, replace(ROW, start=first, end=first.replace(fold=1)))

    assert "DTSTART:20261025T003000Z" in found
    assert "DTEND:20261025T013000Z" in found


# RFC 5545, section 3.1, in short: a name, parameters, a colon, a value without controls.
CONTENT_LINE = re.compile(
    r'[A-Z0-9-]+(;[A-Z0-9-]+=("[^"\x00-\x1f]*"|[^";:,\x00-\x1f]*))*:[^\x00-\x08\x0a-\x1f\x7f]*'
)
ANY_TEXT = st.text(st.characters(codec="utf-8"), max_size=120)


@given(summary=ANY_TEXT, description=ANY_TEXT, location=ANY_TEXT, name=ANY_TEXT)
def test_any_text_makes_a_calendar_by_the_rules(summary, description, location, name):
    raw = calendar(
        replace(CONTEST, name=name, description=description),
        [replace(ROW, summary=summary, description=description, location=location)],
    )

    assert raw.endswith(b"\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert b"\r" not in raw.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    text = raw.decode().replace("\r\n ", "").removesuffix("\r\n")
    for line in text.split("\r\n"):
        assert CONTENT_LINE.fullmatch(line), line


@given(
    summary=st.text(
        st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=90
    )
)
def test_any_words_come_back_from_the_other_reader(summary):
    assert read(CONTEST, replace(ROW, summary=summary)).vevent.summary.value == summary

"""Run sheets as PDF: read back as text, and checked for what stands where."""

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from io import BytesIO

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from pypdf import PdfReader

from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Family, Trick
from runsheets.papers.codes import spaced
from runsheets.papers.heading import SheetHeading
from runsheets.papers.paper import Facts, JudgedRun, Kind, Paper, Scope, Strips, Words
from runsheets.papers.runs import NOBODY, PRINT_AGAIN
from runsheets.pdf import pack
from runsheets.pdf.fonts import MISSING
from runsheets.pdf.pack import papers_pdf
from runsheets.sheets import (
    BlankRun,
    CourseStrip,
    Line,
    PassRows,
    RiderSheet,
    Starter,
    StripMark,
    mark_labels,
    sheet_rows,
)
from tests.runsheets.pdf_desk import MM, Recorder, Written, misplaced

FONTS = settings.STATE_DIR / "fonts"
NAMES = ("Zoë Łukasiewicz", "Nguyễn Thị Hường", "Жанна Ковалёва", "Ελένη Παππά")
HEADING = SheetHeading(
    event="Lake Arden Open",
    division="Open Women",
    round="Qualifying",
    edition_no=3,
    printed_at=datetime(2026, 6, 6, 8, 5, tzinfo=UTC),
    venue="Lake Arden, north shore",
)
REMINDERS = (
    ("Falls", "One fall allowed: the second ends the run."),
    ("Limits", "At most two inverts in each pass."),
)
STRIP = CourseStrip("Each pass", 400, (StripMark(300, "no pick-up past here"),))


@dataclass(frozen=True)
class SheetBook:
    """The parts of run sheets, from which the paper is put together."""

    heading: SheetHeading
    riders: tuple[RiderSheet, ...] = ()
    reminders: tuple[tuple[str, str], ...] = ()
    strips: tuple[CourseStrip, ...] = ()
    marks: tuple[str, ...] = ("Mark",)
    falls: int = 2

    @property
    def paper(self) -> Paper:
        runs = [JudgedRun(sheet, self.marks, self.falls) for sheet in self.riders]
        said = dict(self.reminders).get("Falls", "")
        return Paper(
            Scope(1, self.heading.round, Kind.RUN_SHEETS),
            self.heading,
            (
                Strips(self.strips),
                Facts(self.reminders),
                *(runs or [Words(NOBODY, (PRINT_AGAIN,))]),
            ),
            running=f"Falls: {said}",
        )


def planned(name: str, **said) -> PlannedTrick:
    return PlannedTrick(Trick(name, name, Family.SPIN), **said)


def run_of(tag: str, passes: int = 2, tricks: int = 5) -> Run:
    """A run whose tricks are named after the rider, the pass and the place."""
    return Run(
        tuple(
            Pass(tuple(planned(f"{tag}-{p}-{t}") for t in range(1, tricks + 1)))
            for p in range(1, passes + 1)
        )
    )


def book_of(*starters: Starter, **changes) -> SheetBook:
    sheets = sheet_rows(starters, BlankRun(1), lambda trick: trick.entry.name)
    values = {"riders": sheets, "reminders": REMINDERS, "strips": (STRIP,)}
    return SheetBook(HEADING, **(values | changes))


def run_sheets_pdf(book: "SheetBook", paper: str = "a4", **options) -> bytes:
    return papers_pdf([book.paper], paper, **options)


def field(count: int, **run) -> list[Starter]:
    return [
        Starter(n, f"Rider{n}", f"{n}", run=run_of(f"T{n}", **run)) for n in range(1, count + 1)
    ]


def pages(book: SheetBook, paper: str = "a4") -> list[str]:
    reader = PdfReader(BytesIO(run_sheets_pdf(book, paper, fonts=FONTS)))
    return [page.extract_text() for page in reader.pages]


@pytest.fixture
def written(monkeypatch):
    """Print a book and return every line of text with its place."""
    monkeypatch.setattr(pack, "Canvas", Recorder)

    def print_book(book: SheetBook, paper: str = "a4") -> list[Written]:
        Recorder.lines = []
        run_sheets_pdf(book, paper, fonts=FONTS)
        return Recorder.lines

    return print_book


def test_names_of_many_scripts_are_printed():
    """Latin with Vietnamese, Greek and Cyrillic can be read back from the file."""
    text = "\n".join(pages(book_of(*(Starter(n, name) for n, name in enumerate(NAMES, 1)))))
    for name in NAMES:
        assert name in text
    assert MISSING not in text


def test_a_character_that_no_face_has_is_marked_and_explained():
    text = pages(book_of(Starter(1, "Sam \u7530\u4e2d \U0001f30a Reed")))[0]
    assert f"Sam {MISSING}{MISSING} {MISSING} Reed" in text
    assert f"{MISSING} stands for a character that could not be printed." in text


@pytest.mark.parametrize(
    ("paper", "width", "height"), [("a4", 210, 297), ("letter", 215.9, 279.4)]
)
def test_paper_sizes(paper, width, height):
    """A4 as in ISO 216; Letter is 8.5 by 11 inches of 25.4 mm (ANSI/ASME Y14.1)."""
    reader = PdfReader(BytesIO(run_sheets_pdf(book_of(*field(4)), paper, fonts=FONTS)))
    for page in reader.pages:
        assert float(page.mediabox.width) / MM == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) / MM == pytest.approx(height, abs=0.1)


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="a4 or letter"):
        run_sheets_pdf(book_of(), "napkin", fonts=FONTS)


def test_every_page_says_which_of_how_many_it_is():
    texts = pages(book_of(*field(9)))
    assert len(texts) > 2
    for number, text in enumerate(texts, start=1):
        assert f"Page {number} of {len(texts)}" in text


def test_every_page_names_division_edition_code_and_what_a_fall_does():
    for text in pages(book_of(*field(9))):
        assert "Open Women" in text
        assert re.search(r"Edition 3|edition of the rules\n3", text)
        assert f"Code {spaced(book_of(*field(9)).paper.code)}" in text
        assert "One fall allowed: the second ends the run." in text
        assert "6 June 2026, 08:05 UTC" in text


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("shape", [(1, 5), (2, 5), (3, 4), (4, 6), (2, 12), (2, 20)])
def test_nobody_is_parted_over_pages(paper, shape):
    """A rider's name and all tricks stand on one page, the usual shapes and long ones."""
    passes, tricks = shape
    texts = pages(book_of(*field(5, passes=passes, tricks=tricks)), paper)
    for n in range(1, 6):
        own = [text for text in texts if f"Rider{n}" in text]
        assert len(own) == 1
        for place in range(1, tricks + 1):
            assert re.search(rf"T{n}-{passes}-{place}\b", own[0])


def test_three_riders_of_two_passes_of_five_share_a_page():
    """With criteria and a double-up; the first page also carries the head."""
    starters = [
        replace(each, run=Run((*each.run.passes[:1], replace(each.run.passes[1], bonus=(
            planned("Tantrum", bonus="double-up"),)))))
        for each in field(8)
    ]  # fmt: skip
    marks = mark_labels([("Execution", 40), ("Intensity", 30), ("Composition", 30)])
    texts = pages(book_of(*starters, marks=marks))
    assert [len(re.findall(r"Rider\d", text)) for text in texts] == [2, 3, 3]


def test_a_run_too_long_for_any_page_is_parted_by_passes():
    """Each part carries the name and says which part it is; every trick is printed once."""
    texts = pages(book_of(*field(1, passes=4, tricks=30)))
    parts = [text for text in texts if "Rider1" in text]
    assert len(parts) > 1
    for number, text in enumerate(parts, start=1):
        assert f"Part {number} of {len(parts)}" in text
    found = re.findall(r"T1-\d+-\d+", "\n".join(texts))
    assert sorted(found) == sorted(f"T1-{p}-{t}" for p in range(1, 5) for t in range(1, 31))
    assert sum(text.count("Mark") for text in texts) == 1


def test_a_pass_too_long_for_any_page_goes_on_in_the_next_part():
    texts = pages(book_of(*field(1, passes=1, tricks=90)))
    assert "Pass 1, continued" in "\n".join(texts)
    assert len(re.findall(r"T1-1-\d+", "\n".join(texts))) == 90


def test_no_chance_and_no_record_is_printed():
    tricks = (planned("Roll", landed=17, tried=23), planned("Spin", chance=0.37))
    sheets = sheet_rows([Starter(1, "Ada Moss", run=Run((Pass(tricks),)))], BlankRun(1))
    text = "\n".join(pages(replace(book_of(), riders=sheets)))
    assert "Roll" in text
    assert "Spin" in text
    for private in ("17", "23", "37", "0.37", "73", "74", "x"):
        assert private not in re.sub(r"next|extra|past", "", text)


def test_nobody_in_the_division_is_said_on_one_page():
    texts = pages(book_of())
    assert len(texts) == 1
    assert "There is nobody in this heat yet." in texts[0]


def test_no_run_declared_is_said():
    assert "No run declared" in pages(book_of(Starter(1, "Ada Moss")))[0]


def test_the_same_book_gives_the_same_file():
    book = book_of(*field(3))
    first = run_sheets_pdf(book, fonts=FONTS, invariant=True)
    assert first == run_sheets_pdf(book, fonts=FONTS, invariant=True)


def test_the_outline_leads_to_every_rider():
    reader = PdfReader(BytesIO(run_sheets_pdf(book_of(*field(4)), fonts=FONTS)))
    assert [entry.title for entry in reader.outline] == [f"{n}  Rider{n}" for n in range(1, 5)]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_long_texts_wrap_and_touch_nothing(paper, written):
    """A long name, club, bib, trick, criterion, event and reminder, all of them whole."""
    words = "of the united boroughs beside the very long lake " * 3
    sheet = RiderSheet(
        order=1234,
        name=f"Maximiliana {words}end-of-name",
        bib="A-123456789",
        stance="Left foot forward",
        club=f"Club {words}end-of-club",
        passes=(
            PassRows("Pass 1", (Line("1", f"switch {words}end-of-trick"), Line("2"))),
            PassRows("Pass 2", (Line("60", "Ø" * 70),), (Line("Extra " + words, words),)),
        ),
        note="No run declared",
    )
    heading = replace(HEADING, event=f"Cup {words}end-of-event", venue=words, round=words)
    book = SheetBook(
        heading,
        (sheet, sheet),
        (("Falls", f"{words}end-of-falls"), ("A very long label it is", words * 3)),
        (STRIP,),
        tuple(f"Criterion {words}"[: 10 * n] for n in range(1, 10)),
    )
    lines = written(book, paper)
    assert list(misplaced(lines, paper)) == []
    text = " ".join(line.text for line in lines)
    for end in ("name", "club", "trick", "event", "falls"):
        assert f"end-of-{end}" in text
    assert sum(line.text.count("Ø") for line in lines) == 140


@given(
    st.lists(st.floats(0, 400), max_size=6),
    st.lists(st.text("abcdefg ", min_size=1, max_size=40), min_size=6, max_size=6),
)
@hypothesis_settings(max_examples=40)
def test_words_at_course_markers_never_overlap(places, labels):
    """Any few markers, close together or not, keep their words and metres apart."""
    marks = tuple(StripMark(at, label) for at, label in zip(places, labels, strict=False))
    book = book_of(strips=(CourseStrip("Each pass", 400, marks),))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pack, "Canvas", Recorder)
        Recorder.lines = []
        run_sheets_pdf(book, fonts=FONTS)
    assert list(misplaced(Recorder.lines)) == []


texts_of_any_kind = st.text(max_size=60) | st.text("W<&>\u0301\u200d\u202e \n", max_size=60)


@given(
    names=st.lists(texts_of_any_kind, min_size=1, max_size=4),
    tricks=st.lists(texts_of_any_kind, max_size=7),
    paper=st.sampled_from(["a4", "letter"]),
)
@hypothesis_settings(max_examples=30)
def test_any_text_prints_in_its_place(names, tricks, paper):
    """Whatever is in names and tricks, a file comes out in which no text overlaps."""
    lines = tuple(Line(str(n), text) for n, text in enumerate(tricks, start=1))
    rows = (PassRows("Pass 1", lines), PassRows("Pass 2", lines, (Line(names[0], names[-1]),)))
    sheets = tuple(
        RiderSheet(n, name, name[:8], name, name, rows) for n, name in enumerate(names, start=1)
    )
    book = book_of(riders=sheets)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pack, "Canvas", Recorder)
        Recorder.lines = []
        data = run_sheets_pdf(book, paper, fonts=FONTS)
    assert len(PdfReader(BytesIO(data)).pages) >= 1
    assert list(misplaced(Recorder.lines, paper)) == []

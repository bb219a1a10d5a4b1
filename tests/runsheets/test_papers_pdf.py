"""The papers as PDF: read back as text, looked at for what stands where."""

import io
import subprocess
from dataclasses import replace

import pytest
import zxingcpp
from django.conf import settings
from PIL import Image
from pypdf import PdfReader

from events.rules.notation import read_run
from riders.planning.route import Foot
from runsheets.papers.codes import spaced
from runsheets.papers.facts import RiderFacts
from runsheets.papers.lists import announcer_list, dock_list
from runsheets.papers.pack import EventFacts, papers_of
from runsheets.papers.paper import Kind
from runsheets.papers.rules import rules_sheet
from runsheets.papers.runs import run_sheets, scribe_sheet
from runsheets.pdf import pack
from runsheets.pdf.layout import pages_of
from runsheets.pdf.pack import papers_pdf
from runsheets.pdf.page import text_width, wrap
from tests.runsheets.paper_desk import ADA, BEN, HEAT, RULES, heat_with, round_of
from tests.runsheets.pdf_desk import MM, Recorder, misplaced

FONTS = settings.STATE_DIR / "fonts"
ADDRESS = "https://club.example/events/reed-cup/advanced/"
KINDS = [kind for kind in Kind if kind is not Kind.CHANGES]


def papers(*heats, kinds=KINDS, **changes):
    round_ = round_of(*heats, address=ADDRESS, **changes)
    return papers_of(EventFacts((round_,), (round_,)), kinds)


def texts(*made, paper="a4") -> list[str]:
    reader = PdfReader(io.BytesIO(papers_pdf(made, paper, fonts=FONTS)))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def many(count: int, **changes) -> tuple[RiderFacts, ...]:
    return tuple(
        replace(ADA, key=str(n), order=n, bib=str(n), name=f"Rider{n} Moreau", **changes)
        for n in range(1, count + 1)
    )


@pytest.mark.parametrize("made", papers(), ids=lambda paper: paper.scope.kind)
@pytest.mark.parametrize(
    ("size", "width", "height"), [("a4", 210, 297), ("letter", 215.9, 279.4)]
)
def test_every_paper_says_whose_it_is(made, size, width, height):
    """A4 as in ISO 216; Letter is 8.5 by 11 inches of 25.4 mm (ANSI/ASME Y14.1)."""
    reader = PdfReader(io.BytesIO(papers_pdf([made], size, fonts=FONTS)))
    for number, page in enumerate(reader.pages, start=1):
        text = " ".join(page.extract_text().split())
        assert float(page.mediabox.width) / MM == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) / MM == pytest.approx(height, abs=0.1)
        assert made.heading.title in text
        assert "Reed Cup" in text
        assert "Advanced" in text
        assert f"Page {number} of {len(reader.pages)}" in text
        assert f"Code {spaced(made.code)}" in text
        assert "6 June 2026, 08:05 UTC" in text


@pytest.mark.parametrize("kind", [Kind.RUN_SHEETS, Kind.SCRIBE, Kind.DOCK, Kind.ANNOUNCER])
def test_when_a_heat_is_planned_stands_in_its_title(kind):
    assert "planned start" in texts(*papers(kinds=[kind]))[0]
    assert "6 June, 10:00" in texts(*papers(kinds=[kind]))[0]
    without = texts(*papers(heat_with(ADA, start=None), kinds=[kind]))[0]
    assert "planned start" not in without


def test_every_rider_is_on_every_list_of_many():
    """Sixty riders run over several pages, and the head of the list goes along."""
    heat = heat_with(*many(60))
    for made in (dock_list(round_of(), heat), announcer_list(round_of(), heat)):
        pages = texts(made)
        assert len(pages) > 1
        assert all("order bib rider" in page for page in pages)
        for n in range(1, 61):
            assert sum(f"Rider{n} Moreau" in page for page in pages) == 1


def test_a_scribe_rider_stays_on_one_page_where_possible():
    pages = texts(scribe_sheet(round_of(), heat_with(*many(7))))
    for n in range(1, 8):
        assert sum(f"Rider{n} Moreau" in page for page in pages) == 1


def test_a_long_run_goes_on_under_the_name():
    run = read_run(" | ".join([", ".join(["HS backroll"] * 30)] * 3))
    pages = texts(scribe_sheet(round_of(), heat_with(replace(ADA, run=run))))
    assert len(pages) > 1
    assert all("Ada Moreau" in page for page in pages)
    assert sum(page.count("HS backroll") for page in pages) == 90


def test_a_set_for_each_judge_with_the_same_sheets():
    """The sheets of eight judges are alike but for the name; each begins at page 1."""
    judges = tuple(f"Judge {name}" for name in ["Ottla Brand", "Pim Deakin", "Ro Sund"])
    made = run_sheets(round_of(judges=judges), heat_with(*many(5)))
    one = texts(replace(made, copies=()))
    reader = PdfReader(io.BytesIO(papers_pdf([made], fonts=FONTS)))
    assert len(reader.pages) == 3 * len(one)
    for at, page in enumerate(reader.pages):
        assert judges[at // len(one)] in page.extract_text()


def test_a_judge_with_a_long_name_is_named_in_full(monkeypatch):
    """On the first page and on those after it, in two lines where one is too short."""
    judges = ("Bartholomäus von Oberwiesenthaler-Unterach", "Bo Ek")
    heat = heat_with(*(replace(ADA, key=str(n), bib=str(n)) for n in range(12)))
    made = papers(heat, kinds=[Kind.RUN_SHEETS], judges=judges)
    monkeypatch.setattr(pack, "Canvas", Recorder)
    Recorder.lines = []
    pdf = PdfReader(io.BytesIO(papers_pdf(made, fonts=FONTS)))
    assert list(misplaced(Recorder.lines)) == []
    written = " ".join(line.text for line in Recorder.lines)
    assert written.count(judges[0]) == len(pdf.pages) / 2 > 1


def test_copies_look_like_the_first(tmp_path):
    """What the first judge's page shows, the second's does too, name aside."""
    made = run_sheets(round_of(judges=("Ottla", "Ottla")), heat_with(ADA, BEN))
    first, second = rendered(papers_pdf([made], fonts=FONTS), tmp_path)
    assert first.tobytes() == second.tobytes()
    assert first.getextrema()[0] < 30  # something is printed at all


def rendered(data: bytes, folder, dpi: int = 80) -> list[Image.Image]:
    """Every page as a grey picture, by poppler."""
    (folder / "pack.pdf").write_bytes(data)
    command = ["pdftoppm", "-gray", "-png", "-r", str(dpi), "pack.pdf", "page"]
    subprocess.run(command, cwd=folder, check=True)
    return [Image.open(path).convert("L") for path in sorted(folder.glob("page*.png"))]


def test_the_square_leads_to_the_public_page(tmp_path):
    """Read by ZXing from the printed page at 150 dpi, and after a poor copy in grey."""
    sheet = rules_sheet(round_of(address=ADDRESS))
    page = rendered(papers_pdf([sheet], fonts=FONTS), tmp_path, 150)[0]
    assert [each.text for each in zxingcpp.read_barcodes(page)] == [ADDRESS]
    poor = page.point(lambda value: 110 + value // 3)
    assert [each.text for each in zxingcpp.read_barcodes(poor)] == [ADDRESS]
    assert ADDRESS in texts(sheet)[0].replace(" ", "")


def test_a_grey_page_keeps_its_text_dark(tmp_path):
    """Every ink is grey already: in grey, nothing printed is lighter than it was."""
    data = papers_pdf(papers(), fonts=FONTS)
    for page in PdfReader(io.BytesIO(data)).pages:
        content = page.get_contents().get_data().decode("latin-1")
        assert not [
            line for line in content.splitlines() if line.endswith((" rg", " RG", " k"))
        ]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_long_texts_wrap_and_touch_nothing(kind, paper, monkeypatch):
    words = "of the united boroughs beside the very long lake " * 3
    long = replace(
        ADA, name=f"Maximiliana {words}end-of-name", bib="9999", order=1234,
        club=f"Club {words}end-of-club", wishes=f"{words[:190]}end", run_note=words,
    )  # fmt: skip
    rules = f"{RULES}\n[[limits]]\nmost = 0\nsay = '{words}'\n[[notes]]\nsay = '{words}'\n"
    made = papers(
        heat_with(long, replace(long, key="2", scratched=True)), kinds={kind}, rules=rules,
        event=f"Cup {words}", division=words[:80], venue=words, round=words[:80],
    )  # fmt: skip
    made = [
        replace(each, heading=replace(each.heading, replaces=f"Replaces {words}"))
        for each in made
    ]
    monkeypatch.setattr(pack, "Canvas", Recorder)
    Recorder.lines = []
    papers_pdf(made, paper, fonts=FONTS)
    assert list(misplaced(Recorder.lines, paper)) == []
    if kind is not Kind.RULES:
        assert "end-of-name" in " ".join(line.text for line in Recorder.lines)


def test_the_outline_leads_to_every_paper():
    made = papers(heat_with(ADA), replace(HEAT, number=2, name="Heat 2", riders=(BEN,)))
    reader = PdfReader(io.BytesIO(papers_pdf(made, fonts=FONTS)))
    titles = [
        [each.title for each in entry] if isinstance(entry, list) else entry.title
        for entry in reader.outline
    ]
    heats = [f"Advanced, Qualifying, Heat {n}" for n in (1, 2)]
    assert titles == [
        "Run sheets", heats, "Scribe’s sheet", heats, "Dock starter’s list", heats,
        "Boat crew’s sheet", ["Advanced, Qualifying"], "Announcer’s list", heats,
        "Rules", ["Advanced, Qualifying"],
    ]  # fmt: skip


def test_nobody_in_a_heat_is_said_on_every_paper():
    for made in papers(heat_with()):
        if made.scope.kind is not Kind.RULES:
            assert "There is nobody in this heat yet." in " ".join(texts(made))


def test_a_stamp_stands_on_every_page():
    made = run_sheets(round_of(), heat_with(*many(9)))
    stamped = replace(
        made, heading=replace(made.heading, replaces="Replaces the sheet printed 07:55")
    )
    pages = texts(stamped)
    assert len(pages) > 1
    assert all("Replaces the sheet printed 07:55" in page for page in pages)


def test_eight_judges_twelve_tricks_and_eight_criteria():
    run = read_run(" | ".join([", ".join(["HS backroll"] * 12)] * 2))
    criteria = "".join(
        f"[[judging.criteria]]\nname = 'Criterion {n}'\nweight = 12.5\n" for n in range(8)
    )
    rules = f"[passes]\ncount = 2\n{criteria}"
    judges = tuple(f"Judge {n}" for n in range(8))
    rider = replace(ADA, run=run, foot=Foot.RIGHT)
    made = run_sheets(round_of(rules=rules, judges=judges), heat_with(rider))
    pages = texts(made)
    assert len(pages) == 8
    assert all(f"Criterion {n} 12.5 %" in pages[0] for n in range(8))


def test_nothing_to_print_is_refused():
    with pytest.raises(ValueError, match="no paper"):
        papers_pdf([], fonts=FONTS)


class Flat:
    """A block of some height."""

    gap, lead = 2.0, None

    def __init__(self, height, lead=None):
        self.height, self.lead = height, lead

    def draw(self, pen, x, y):
        """Nothing."""


def test_a_head_stands_once_in_each_column_and_groups_stay_together():
    head = Flat(10)
    rows = [[Flat(20, head)] for _ in range(5)]
    pages = pages_of(rows, 60, 60)
    assert [[block.height for block in page[0].blocks] for page in pages] == [
        [10, 20, 20], [10, 20, 20], [10, 20],
    ]  # fmt: skip
    pages = pages_of([[Flat(50)], [Flat(20), Flat(20)]], 100, 100)
    assert [[block.height for block in page[0].blocks] for page in pages] == [[50, 20, 20]]
    pages = pages_of([[Flat(70)], [Flat(20), Flat(20)]], 100, 100)
    assert [[block.height for block in page[0].blocks] for page in pages] == [[70], [20, 20]]


def test_a_word_that_is_too_wide_breaks_after_its_hyphens():
    """And anywhere only where a part is too wide by itself; nothing is lost."""
    wide = text_width("Hohenlohe-Schillingsfuerst-n", "Helvetica", 10)
    lines = wrap("Hohenlohe-Schillingsfuerst-Altenburg", "Helvetica", 10, wide)
    assert lines == ["Hohenlohe-Schillingsfuerst-", "Altenburg"]
    wide = 30 * text_width("n", "Helvetica", 10)
    lines = wrap("Ab-" + "n" * 70, "Helvetica", 10, wide)
    assert lines == ["Ab-", "n" * 30, "n" * 30, "n" * 10]

"""Papers in German: every one of them, with the same code for whoever asks."""

import re
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.utils import translation
from pypdf import PdfReader

from events.languages import made_on_paper
from runsheets.judging.advancing import Fate
from runsheets.papers.changes import changes
from runsheets.papers.pack import KINDS, EventFacts, papers_of
from runsheets.papers.paper import Kind, Paper
from runsheets.pdf.pack import papers_pdf
from runsheets.timing.timetable import wait_words
from tests.german import english
from tests.runsheets.paper_desk import AT, round_of

ENGLISH = english(
    "heat starts", "pass", "falls", "landed", "fell", "printed", "page", "code of", "rider's"
)
TYPED = re.compile(r"the club boat|driver and observer|slowly, engine in neutral|bow", re.I)


@pytest.fixture
def german_site(settings) -> None:
    settings.LANGUAGE_CODE = "de"


@made_on_paper
def papers(kind: Kind) -> list[Paper]:
    facts = round_of()
    return papers_of(EventFacts((facts,), (facts,)), {kind})


@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_every_paper_is_german_whoever_asks(german_site, tmp_path: Path, kind: Kind) -> None:
    codes = set()
    for viewer in ("de", "en-gb"):
        with translation.override(viewer):
            made = papers(kind)
            pdf = papers_pdf(made, fonts=tmp_path)
        codes.add(tuple(each.code for each in made))
        text = "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
        plain = TYPED.sub("", text).replace("\n", " ")
        assert not ENGLISH.findall(plain), plain
        assert "Seite 1 von" in plain
    assert len(codes) == 1


def test_changes_times_and_fates_are_german(german_site) -> None:
    with translation.override("de"):
        then, now = (
            papers_of(EventFacts((each,), (each,)), {Kind.DOCK})[0].snapshot
            for each in (round_of(), round_of(venue="Seeende"))
        )
        assert any("Ort: bisher" in each.sentence for each in changes(then, now))
        assert wait_words(AT, AT + timedelta(days=3)) == "etwa 3 Tagen"
        assert Fate.ADVANCES.words == "kommt weiter"

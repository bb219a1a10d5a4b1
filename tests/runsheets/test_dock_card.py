"""The dock card as PDF and its address: sizes, nothing cut, and only the rider's own."""

from dataclasses import replace
from io import BytesIO

import pytest
from django.conf import settings
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.asserts import assertContains

from events.rules.loading import as_data, load_format
from riders.models import Declaration, LandingRecord
from runsheets.card import CardHead, CardLine, CardPass, DockCard
from runsheets.pdf.card_parts import PAD
from runsheets.pdf.dock_card import dock_card_pdf
from runsheets.pdf.page import MM
from tests.factories import EditionFactory, EntryFactory, RiderFactory
from tests.runsheets.test_card import RULES, card

FONTS = settings.STATE_DIR / "fonts"
USUAL = "HS backroll, TS 180, switch TS 360, HS 180, HS 360 | TS 360, HS tantrum, TS 180, Indy, Indy + tantrum"


def pdf(found: DockCard, paper: str = "a6") -> PdfReader:
    return PdfReader(BytesIO(dock_card_pdf(found, paper, fonts=FONTS, invariant=True)))


def words(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def sizes(reader: PdfReader) -> list[tuple[str, float, float, float]]:
    """(text, type size, x, y) of everything that is written."""
    found = []
    for page in reader.pages:

        def see(text, matrix, text_matrix, font, size):
            if text.strip():
                x = matrix[4] + text_matrix[4]
                found.append((text.strip(), size, x, matrix[5] + text_matrix[5]))

        page.extract_text(visitor_text=see)
    return found


def long_card(passes: int, lines: int, name: str = "trick") -> DockCard:
    made = tuple(
        CardPass(f"Pass {p}", "port, own stance",
                 tuple(CardLine(str(n), f"{name}-{p}-{n}.") for n in range(1, lines + 1)))
        for p in range(1, passes + 1)
    )  # fmt: skip
    return replace(card("Indy"), passes=made)


class TestPaper:
    @pytest.mark.parametrize(
        ("paper", "width", "height"),
        [("a6", 105, 148), ("a4", 210, 297), ("letter", 215.9, 279.4)],
    )
    def test_sizes(self, paper, width, height):
        """ISO 216 for A6 and A4; ANSI Letter is 8.5 by 11 inches."""
        box = pdf(card(USUAL), paper).pages[0].mediabox

        assert float(box.width) == pytest.approx(width * MM, abs=0.5)
        assert float(box.height) == pytest.approx(height * MM, abs=0.5)

    @pytest.mark.parametrize(("paper", "copies"), [("a6", 1), ("a4", 4), ("letter", 2)])
    def test_as_many_as_go_on_a_sheet(self, paper, copies):
        reader = pdf(card(USUAL), paper)

        assert len(reader.pages) == 1
        assert words(reader).count("Ilka Moorfield") == copies

    def test_a_run_of_two_cards_is_copied_as_a_pair(self):
        found = long_card(2, 14)

        assert len(pdf(found).pages) == 2
        text = words(pdf(found, "a4"))
        assert text.count("Card 1 of 2") == text.count("Card 2 of 2") == 2

    def test_another_paper(self):
        with pytest.raises(ValueError, match="a6, a4 or letter"):
            dock_card_pdf(card(USUAL), "a5", fonts=FONTS)

    def test_cut_lines_only_on_sheets(self):
        """Broken lines are set with the operator d of PDF (ISO 32000, 8.4.3.6)."""
        for paper, dashed in (("a6", False), ("a4", True)):
            content = (
                pdf(card(USUAL), paper).pages[0].get_contents().get_data().decode("latin-1")
            )
            broken = content.partition("[4 4] 0 d")[2].partition("[] 0 d")[0]
            assert bool(broken.count(" l")) is dashed


class TestNothingIsCut:
    def test_a_usual_run_is_one_card_in_large_type(self):
        """Two passes of five and a double-up: 12 pt or more, on one card."""
        reader = pdf(card(USUAL))

        assert len(reader.pages) == 1
        assert min(size for text, size, *_ in sizes(reader) if "backroll" in text) >= 12
        text = words(reader)
        for said in (
            "HS backroll",
            "turn",
            "Tantrum",
            "One fall allowed: the second ends your run.",
        ):
            assert said in text

    @pytest.mark.parametrize(("passes", "lines"), [(1, 1), (2, 8), (4, 12), (1, 60), (12, 5)])
    def test_every_trick_is_there_once(self, passes, lines):
        found = long_card(passes, lines)
        text = words(pdf(found))

        for each in found.passes:
            for line in each.lines:
                assert text.count(line.text) == 1
        assert text.count("One fall allowed") == 1

    def test_no_smaller_than_12_up_to_eight_tricks(self):
        for lines, least in ((8, 12), (9, 10)):
            found = sizes(pdf(long_card(4, lines)))
            assert min(size for text, size, *_ in found if text.startswith("trick-")) >= least

    @pytest.mark.parametrize("paper", ["a6", "a4", "letter"])
    def test_nothing_leaves_its_card(self, paper):
        reader = pdf(
            long_card(4, 12, "a rather long name of a trick with two grabs and a half turn"),
            paper,
        )
        page = reader.pages[0].mediabox

        for _, _, x, y in sizes(reader):
            assert PAD / 2 <= x <= float(page.width) - PAD / 2
            assert PAD / 2 <= y <= float(page.height) - PAD / 2

    def test_a_pass_over_two_cards_is_named_on_both(self):
        reader = pdf(long_card(1, 60))

        assert "Pass 1, continued" in reader.pages[1].extract_text()
        assert "Ilka Moorfield" in reader.pages[1].extract_text()

    def test_endless_words_are_wrapped(self):
        name = "x" * 60
        found = long_card(1, 1, name)
        text = words(pdf(found)).replace(" ", "")

        assert f"{name}-1-1." in text

    def test_the_same_card_gives_the_same_bytes(self):
        one, other = (dock_card_pdf(card(USUAL), fonts=FONTS, invariant=True) for _ in range(2))

        assert one == other

    def test_every_script_of_the_names(self):
        head = CardHead("Nguyễn Thị Hường", "Ελένη", "Ковалёва", "", "Not declared", 1, "")

        assert "Nguyễn Thị Hường" in words(pdf(replace(card("Indy"), head=head)))

    def test_no_colour(self):
        """Grey only, so that any copier will do: the operators rg and RG are not used."""
        content = pdf(card(USUAL)).pages[0].get_contents().get_data().decode("latin-1")

        assert " rg" not in content
        assert " RG" not in content


@pytest.fixture
def entry(db, client):
    """A signed-in rider with an entry under published rules."""
    edition = EditionFactory(data=as_data(load_format(RULES)))
    found = EntryFactory(division=edition.division)
    client.force_login(found.rider.user)
    return found


def plan(client, entry, action="save"):
    data = {
        "passes": "1", "p1-rows": "2", "b1-rows": "0", "edition": "1", "side": "port", "action": action,
        "p1-1-trick": "HS backroll", "p1-1-chance": "37", "p1-2-trick": "TS 360",
    }  # fmt: skip
    return client.post(reverse("plan", args=[entry.pk]), data)


def fetched(client, entry, **query) -> PdfReader:
    answer = client.get(reverse("dock-card", args=[entry.pk]), query)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(b"".join(answer.streaming_content)))


class TestAddress:
    def test_the_plan_is_marked_not_declared(self, client, entry):
        plan(client, entry)
        text = words(fetched(client, entry))

        assert "Not declared" in text
        assert "HS backroll" in text
        assert "start: port, own stance" in text
        assert "37" not in text

    def test_the_declared_run_goes_before_the_plan(self, client, entry):
        plan(client, entry, "declare")
        assert Declaration.objects.count() == 1
        client.post(
            reverse("plan", args=[entry.pk]),
            {
                "passes": "1",
                "p1-rows": "1",
                "p1-1-trick": "Indy",
                "edition": "1",
                "action": "save",
            },
        )
        text = words(fetched(client, entry))

        assert "Declared run 1" in text
        assert "HS backroll" in text
        assert "Indy" not in text

    def test_rules_changed_since(self, client, entry):
        plan(client, entry, "declare")
        EditionFactory(division=entry.division, number=2, data=as_data(load_format(RULES)))

        text = words(fetched(client, entry))
        assert "Edition 2" in text
        assert "Declared under edition 1 of the rules: check it again." in text

    def test_a_back_up_stands_beside_its_trick(self, client, entry):
        """A trick landed 9 of 10 times from and to the same side stands in for one at 37 %;
        the declared run keeps no chances, so they come from the rider's records."""
        LandingRecord.objects.create(rider=entry.rider, trick="Indy", landed=9, tried=10)
        plan(client, entry, "declare")
        text = words(fetched(client, entry))

        assert "or Indy" in text
        assert "90 %" not in text
        assert "9 of 10" not in text

    def test_another_rider_finds_nothing(self, client, entry):
        client.force_login(RiderFactory().user)

        assert client.get(reverse("dock-card", args=[entry.pk])).status_code == 404

    def test_a_stranger_signs_in_first(self, client, entry):
        client.logout()

        assert client.get(reverse("dock-card", args=[entry.pk])).status_code == 302

    def test_nothing_planned(self, client, entry):
        assert "No trick is planned yet." in words(fetched(client, entry))

    def test_rows_that_cannot_be_read(self, client, entry):
        client.post(
            reverse("plan", args=[entry.pk]),
            {
                "passes": "1",
                "p1-rows": "2",
                "p1-1-trick": "Indy",
                "p1-2-trick": "zzz",
                "action": "save",
            },
        )

        assert "row cannot be read and is left out." in words(fetched(client, entry))

    def test_paper(self, client, entry):
        assert float(fetched(client, entry, paper="A4").pages[0].mediabox.width) > 590
        answer = client.get(reverse("dock-card", args=[entry.pk]), {"paper": "a0"}, follow=True)
        assert answer.status_code == 200
        assertContains(answer, "A6, A4 or Letter")

    def test_without_rules(self, client, entry):
        other = EntryFactory(rider=entry.rider)

        page = client.get(reverse("dock-card", args=[other.pk]))

        assertContains(page, "The rules are not published yet")

    def test_a_round_that_there_is_not(self, client, entry):
        assert (
            client.get(reverse("dock-card", args=[entry.pk]) + "?round=Nope").status_code == 404
        )

    def test_links(self, client, entry):
        address = reverse("dock-card", args=[entry.pk])
        plan(client, entry, "declare")

        assertContains(client.get(reverse("plan", args=[entry.pk])), address)
        receipt = reverse("receipt", args=[Declaration.objects.get().pk])
        assertContains(client.get(receipt), address)

"""The run sheets that the table prints."""

import pytest

from events.models import Division
from events.rules.words import RidingOrder
from runsheets.orders import make_order
from tests.factories import (
    DivisionFactory,
    EditionFactory,
)
from tests.runsheets.table_desk import RULES, declare_for, entry_of, pages, words_of

pytestmark = pytest.mark.django_db


class TestSheets:
    def test_in_running_order_with_declared_runs(self, client, division, table) -> None:
        declare_for(entry_of(division, "Łozowski"), "Tantrum, Half cab")
        declare_for(entry_of(division, "Łozowski"), "Scarecrow")
        make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.BY_HAND, entries=[entry_of(division, "Łozowski").pk],
        )  # fmt: skip
        response = client.get(f"{pages(division)['sheets']}?round=Qualifying&paper=letter")

        assert response["Content-Type"] == "application/pdf"
        assert (
            "open-men-women-qualifying-run-sheets-letter.pdf" in response["Content-Disposition"]
        )
        text = words_of(response)
        places = [text.index(f"Ilka {name}") for name in ("Łozowski", "Ayer", "Brandquist")]
        assert places == sorted(places)
        assert "Scarecrow" in text
        assert "Tantrum" not in text  # only the declaration in force
        assert text.count("No run declared") == 2
        assert "Qualifying · Heat 1" in text
        assert text.index("Qualifying · Not in the running order") < text.index("Ilka Ayer")
        assert "One fall allowed: the second ends" in text

    def test_without_an_order_the_heading_says_alphabetical(
        self, client, division, table
    ) -> None:
        text = words_of(client.get(pages(division)["sheets"]))

        assert "Alphabetical, no running order yet" in text
        assert text.index("Ilka Ayer") < text.index("Ilka Łozowski")

    def test_a_run_of_an_older_edition_says_so(self, client, division, table) -> None:
        declare_for(entry_of(division, "Ayer"), "HS FS 180")
        declare_for(entry_of(division, "Brandquist"), "Tantrum")
        ban = {"limits": [{"when": {"invert": True}, "most": 0}]}
        EditionFactory(division=division, number=2, data=RULES | ban)
        text = words_of(client.get(pages(division)["sheets"]))

        assert text.count("Declared under edition 1") == 2
        assert text.count("breaks a rule of edition 2") == 1

    def test_the_same_run_holds_in_a_later_round(self, client, division, table) -> None:
        rules = {**RULES, "rounds": [RULES["rounds"][0], {"name": "Final", "run": "same run"}]}
        EditionFactory(division=division, number=2, data=rules)
        declare_for(entry_of(division, "Ayer"), "Whirlybird", edition=2)

        assert "Whirlybird" in words_of(client.get(f"{pages(division)['sheets']}?round=Final"))

    def test_without_an_edition_the_page_says_so(self, client, table, division) -> None:
        other = DivisionFactory(event=division.event)
        response = client.get(pages(other)["sheets"], follow=True)

        assert response.status_code == 200
        assert "are not published yet" in response.text

    def test_a_division_without_riders_says_so(self, client, division, table) -> None:
        division.entries.all().delete()
        text = words_of(client.get(pages(division)["sheets"]))

        assert "There is nobody in this heat yet." in text

    def test_other_paper(self, client, division, table) -> None:
        response = client.get(f"{pages(division)['sheets']}?paper=a3", follow=True)

        assert "A4 or Letter" in response.text

    def test_a_name_without_ascii_letters_still_gives_a_file_name(
        self, client, division, table
    ) -> None:
        Division.objects.filter(pk=division.pk).update(name="Ανοιχτή/..\n")
        response = client.get(pages(division)["sheets"])

        assert response.status_code == 200
        assert response["Content-Disposition"].isascii()
        assert "/" not in response["Content-Disposition"]

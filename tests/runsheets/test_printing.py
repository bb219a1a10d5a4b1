"""The print page of the table, what is recorded, and codes looked up."""

import csv
import io
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook
from pypdf import PdfReader

from events.models import Act, Event, Official
from events.rules.words import RidingOrder
from riders.models import Bib, Entry
from runsheets.models import DayPlan, Heat, Judge, Printing, Slot
from runsheets.orders import make_order
from runsheets.papers.pack import KINDS
from runsheets.papers.paper import Kind
from runsheets.printing import Choice, changed, last_printings, make_pack, record_printings
from tests.factories import DivisionFactory, EditionFactory, OfficialFactory, UserFactory
from tests.runsheets.big_event import big_event
from tests.runsheets.table_desk import RULES, declare_for, entry_of, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def ordered(division, table):
    """The division with a running order in the qualifying round and a declared run."""
    declare_for(entry_of(division, "Ayer"), "HS backroll, Tantrum")
    names = ("Ayer", "Brandquist", "Łozowski")
    make_order(
        division=division, round_name="Qualifying", by=table, method=RidingOrder.BY_HAND,
        entries=[entry_of(division, name).pk for name in names],
    )  # fmt: skip
    return division


def page(division) -> str:
    return reverse("table-print", args=[division.event.slug])


def sent(division, **changes):
    values = {
        "rounds": [f"{division.pk}:Qualifying"], "kinds": [kind.value for kind in KINDS],
        "paper": "a4", "per_judge": "on",
    }  # fmt: skip
    return values | changes


def printed(client, division, **changes):
    return client.post(page(division), sent(division, **changes))


def code_of(kind: str) -> str:
    return Printing.objects.filter(kind=kind).first().code


class TestPrinting:
    def test_a_whole_pack_is_recorded(self, client, ordered, table):
        response = printed(client, ordered)

        assert response["Content-Type"] == "application/pdf"
        text = words_of(response)
        for title in ("Run sheets", "Scribe’s sheet", "Dock starter’s list", "Boat crew’s sheet",
                      "Announcer’s list", "Rules"):  # fmt: skip
            assert title in text
        assert list(Printing.objects.order_by("pk").values_list("kind", flat=True)) == [
            "run sheets 1", "scribe 1", "dock 1", "boat", "announcer 1", "rules",
        ]  # fmt: skip
        assert {each.printed_by for each in Printing.objects.all()} == {table}
        assert Act.objects.filter(what="Printed 6 papers.", user=table).count() == 1

    def test_the_whole_event_without_a_tick(self, client, ordered):
        other = DivisionFactory(event=ordered.event, name="Juniors")
        EditionFactory(division=other, data=RULES)
        text = words_of(printed(client, ordered, rounds=[]))
        assert "Juniors" in text
        assert "Final" in text

    def test_one_paper_alone(self, client, ordered):
        printed(client, ordered, only="dock")
        assert list(Printing.objects.values_list("kind", flat=True)) == ["dock 1"]

    def test_one_heat(self, client, ordered):
        order = ordered.orders.get()
        second = Heat.objects.create(order=order, number=2)
        Slot.objects.filter(entry=entry_of(ordered, "Łozowski")).update(heat=second)
        text = words_of(printed(client, ordered, heat="2", kinds=["dock"]))
        assert "Łozowski" in text
        assert "Ayer" not in text

    def test_a_boat_sheet_holds_every_heat_of_its_round(self, client, ordered):
        assert "Łozowski" in words_of(printed(client, ordered, heat="1", kinds=["boat"]))

    def test_letter_paper(self, client, ordered):
        response = printed(client, ordered, paper="letter")
        data = b"".join(response.streaming_content)
        box = PdfReader(io.BytesIO(data)).pages[0].mediabox
        assert (float(box.width), float(box.height)) == (612, 792)

    def test_a_set_for_each_judge(self, client, ordered):
        for number, name in enumerate(("Ottla Brand", "Pim Deakin"), start=1):
            Judge.objects.create(event=ordered.event, number=number, name=name)
        text = words_of(printed(client, ordered, kinds=["run sheets"]))
        assert "Ottla Brand" in text
        assert "Pim Deakin" in text
        assert Printing.objects.count() == 1

    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"kinds": []}, "Tick at least one paper."),
            ({"heat": "1", "rounds": ["FINAL"]}, "There is no heat 1"),
            ({"paper": "a3"}, "a3"),
            ({"rounds": ["999:x"]}, "999:x"),
        ],
    )
    def test_mistakes_stay_on_the_page_and_print_nothing(self, client, ordered, changes, said):
        if changes.get("rounds") == ["FINAL"]:
            changes = changes | {"rounds": [f"{ordered.pk}:Final"]}
        response = printed(client, ordered, **changes)
        assert response.status_code == 200
        assert said in response.content.decode()
        assert not Printing.objects.exists()

    def test_a_get_records_nothing(self, client, ordered):
        client.get(page(ordered))
        client.get(reverse("table-sheets", args=[ordered.pk]))
        assert not Printing.objects.exists()

    def test_only_the_table_prints(self, client, ordered):
        client.force_login(UserFactory())
        assert client.get(page(ordered)).status_code == 403
        assert printed(client, ordered).status_code == 403
        rows = reverse("table-rows", args=[ordered.event.slug, "csv"])
        assert client.get(rows).status_code == 403
        client.logout()
        assert client.get(page(ordered)).status_code == 302

    def test_an_event_without_rules_has_nothing_to_print(self, client, division, table):
        bare = DivisionFactory()
        OfficialFactory(club=bare.event.club, user=table, role=Official.Role.TABLE)
        assert "there is nothing to print" in client.get(page(bare)).content.decode()
        again = client.post(page(bare), {"kinds": ["dock"], "paper": "a4"})
        assert again.status_code == 200
        assert not Printing.objects.exists()

    def test_the_rules_sheet_names_the_public_page_only_if_there_is_one(self, client, ordered):
        text = words_of(printed(client, ordered, kinds=["rules"])).replace(" ", "")
        assert f"http://testserver{ordered.get_absolute_url()}" in text
        Event.objects.update(is_public=False)
        hidden = words_of(printed(client, ordered, kinds=["rules"]))
        assert "no public page yet" in hidden
        assert "testserver" not in hidden


class TestDock:
    def test_under_age_checked_in_and_no_contacts(self, client, ordered):
        ada = entry_of(ordered, "Ayer")
        ada.rider.born_on = ordered.event.first_day - timedelta(days=14 * 365)
        ada.rider.save()
        Entry.objects.filter(pk=ada.pk).update(
            guardian="Hanne Ayer", guardian_phone="555-0199", emergency_phone="555-0198"
        )
        grown = entry_of(ordered, "Brandquist")
        grown.rider.born_on = date(1980, 1, 1)
        grown.rider.save()
        text = words_of(printed(client, ordered, kinds=["dock"]))
        assert "yes no" in text
        assert "not needed" in text
        for private in ("Hanne", "555", "1980"):
            assert private not in text


class TestChanged:
    def test_nothing_changed(self, client, ordered):
        printed(client, ordered)
        response = client.post(page(ordered), sent(ordered, changed="1"), follow=True)
        assert "Nothing changed since the last printing" in response.content.decode()
        assert Printing.objects.count() == 6

    def test_a_run_declared_anew(self, client, ordered):
        printed(client, ordered)
        declare_for(entry_of(ordered, "Ayer"), "HS backroll, Scarecrow")
        text = words_of(printed(client, ordered, changed="1"))
        assert "Ilka Ayer: pass 1 trick 2 was Tantrum, is now Scarecrow." in text
        assert "Replaces the sheet printed" in text
        assert "Brandquist" not in text
        assert Printing.objects.count() == 8  # run sheets and scribe's sheet
        again = client.post(page(ordered), sent(ordered, changed="1"))
        assert again.status_code == 302  # the new printing is what counts now

    def test_a_scratched_rider_and_a_new_bib(self, client, ordered):
        printed(client, ordered)
        Slot.objects.filter(entry=entry_of(ordered, "Ayer")).update(scratched_at=timezone.now())
        Bib.objects.create(
            event=ordered.event, rider=entry_of(ordered, "Brandquist").rider, number=8
        )
        text = words_of(printed(client, ordered, changed="1"))
        assert "Ilka Ayer: scratched." in text
        assert "Bib 8 Ilka Brandquist: had no bib, now has bib 8." in text

    def test_a_new_edition(self, client, ordered):
        printed(client, ordered)
        EditionFactory(division=ordered, number=2, data=RULES | {"falls": {"allowed": 2}})
        text = words_of(printed(client, ordered, changed="1"))
        assert "Edition 1 of the rules is now edition 2." in text
        assert Printing.objects.count() == 12


class TestCodes:
    def look(self, client, code):
        return client.get(reverse("paper", args=[code]))

    def test_still_current(self, client, ordered):
        printed(client, ordered)
        for each in Printing.objects.all():
            assert "Still current" in self.look(client, each.code).content.decode(), each.kind

    def test_the_code_on_the_paper_is_the_recorded_one(self, client, ordered):
        text = words_of(printed(client, ordered, kinds=["dock"]))
        code = code_of("dock 1")
        assert f"Code {code[:4]}-{code[4:]}" in text

    def test_out_of_date_since_the_run_was_declared(self, client, ordered):
        printed(client, ordered)
        declared = declare_for(entry_of(ordered, "Ayer"), "HS backroll, Scarecrow")
        body = self.look(client, code_of("scribe 1")).content.decode()
        assert "Out of date" in body
        assert "pass 1 trick 2 was Tantrum, is now Scarecrow" in body
        since = declared.declared_at.astimezone(ordered.event.zone)
        assert f"Out of date since {since.day} {since:%B %Y, %H:%M}" in body
        assert "Still current" in self.look(client, code_of("announcer 1")).content.decode()

    def test_a_newer_printing_is_named(self, client, ordered):
        printed(client, ordered)
        old = code_of("scribe 1")
        declare_for(entry_of(ordered, "Ayer"), "HS backroll, Scarecrow")
        printed(client, ordered)
        new = code_of("scribe 1")
        assert f"{new[:4]}-{new[4:]}" in self.look(client, old).content.decode()

    def test_a_heat_that_is_gone(self, client, ordered):
        printed(client, ordered)
        ordered.orders.all().delete()
        assert "throw the paper" in self.look(client, code_of("dock 1")).content.decode()

    def test_the_form_leads_to_the_paper(self, client, ordered):
        printed(client, ordered)
        code = code_of("boat")
        response = client.get(page(ordered), {"code": f" {code[:4].lower()} {code[4:]}"})
        assert response["Location"] == reverse("paper", args=[f"{code[:4]}-{code[4:]}"])

    def test_a_code_that_cannot_be_one_stays_in_its_field(self, client, ordered):
        body = client.get(page(ordered), {"code": "K7Q"}).content.decode()
        assert "A code has 8 letters and digits" in body
        assert 'value="K7Q"' in body
        assert self.look(client, "K7Q").status_code == 404

    def test_codes_of_other_clubs_are_unknown(self, client, ordered):
        printed(client, ordered)
        code = code_of("boat")
        client.force_login(OfficialFactory(role=Official.Role.TABLE).user)
        response = self.look(client, code)
        assert response.status_code == 404
        assert ordered.name not in response.content.decode()


class TestRows:
    def rows(self, client, division, ending):
        return client.get(reverse("table-rows", args=[division.event.slug, ending]))

    def test_csv_is_safe_in_a_spreadsheet(self, client, ordered):
        """A cell that begins like a formula gets an apostrophe (OWASP: CSV injection)."""
        rider = entry_of(ordered, "Ayer").rider
        rider.club_name = "=HYPERLINK(1)"
        rider.save()
        data = b"".join(self.rows(client, ordered, "csv").streaming_content)
        assert data.startswith(b"\xef\xbb\xbf")
        found = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
        assert found[0]["name"] == "Ilka Ayer"
        assert found[0]["pass 1"] == "HS backroll, Tantrum"
        assert found[0]["club"] == "'=HYPERLINK(1)"
        assert [row["order"] for row in found if row["round"] == "Qualifying"] == [
            "1",
            "2",
            "3",
        ]

    def test_xlsx(self, client, ordered):
        rider = entry_of(ordered, "Ayer").rider
        rider.club_name = "=1+1"
        rider.save()
        data = b"".join(self.rows(client, ordered, "xlsx").streaming_content)
        sheet = load_workbook(io.BytesIO(data)).active
        head = [cell.value for cell in sheet[1]]
        cell = sheet.cell(2, head.index("club") + 1)
        assert (cell.data_type, cell.value) == ("s", "'=1+1")
        assert sheet.cell(2, head.index("order") + 1).value == 1

    def test_another_kind_is_not_there(self, client, ordered):
        assert self.rows(client, ordered, "exe").status_code == 404


class TestQueries:
    @pytest.mark.parametrize(("divisions", "riders"), [(2, 4), (2, 15), (6, 4)])
    def test_a_pack_reads_as_often_whatever_its_size(
        self, divisions, riders, django_assert_num_queries
    ):
        event = big_event(divisions, riders)
        event = Event.objects.select_related("venue", "club").get(pk=event.pk)
        with django_assert_num_queries(9):
            pack = make_pack(event, Choice(), timezone.now())
        assert len(pack.papers) > 4 * divisions
        record_printings(event=event, papers=pack.chosen, by=UserFactory(), at=timezone.now())
        with django_assert_num_queries(1):
            assert changed(pack).cover is None

    def test_the_page_and_the_paper(self, client, ordered, django_assert_max_num_queries):
        printed(client, ordered)
        with django_assert_max_num_queries(12):
            client.get(page(ordered))
        with django_assert_max_num_queries(16):
            client.get(reverse("paper", args=[code_of("boat")]))

    def test_the_last_printing_of_each_paper(self, client, ordered):
        printed(client, ordered)
        printed(client, ordered)
        assert Printing.objects.count() == 12
        assert len(last_printings(ordered.event)) == 6
        assert {scope.kind for scope in last_printings(ordered.event)} == set(KINDS) - {
            Kind.CHANGES
        }


def test_days_decide_the_order_of_a_pack():
    """Heats on a day come in the order of that day, before those that are on none."""
    event = big_event(2, 5)
    DayPlan.objects.create(event=event, day=event.first_day, starts_at="09:00")
    last = Heat.objects.get(order__division__name="Division 1")
    Heat.objects.filter(pk=last.pk).update(day=event.first_day, place=1)
    pack = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
    assert [paper.heading.division for paper in pack.papers] == ["Division 1", "Division 0"]

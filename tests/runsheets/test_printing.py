"""The print page of the table, what is recorded, and codes looked up."""

import io
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from events.models import Act, Event, Official
from riders.models import Bib, Entry
from runsheets.models import Heat, Judge, Printing, Slot
from tests.factories import DivisionFactory, EditionFactory, OfficialFactory, UserFactory
from tests.runsheets.print_desk import code_of, page, printed, sent
from tests.runsheets.table_desk import RULES, declare_for, entry_of, words_of

pytestmark = pytest.mark.django_db


class TestPrinting:
    def test_rounds_are_ticked_once_it_is_known_who_rides(self, client, ordered):
        """The first round always, a later one as soon as it has a running order."""

        def ticked(query=""):
            form = client.get(page(ordered) + query).context["form"]
            return form["rounds"].initial

        assert ticked() == [f"{ordered.pk}:Qualifying"]
        assert ticked(f"?round={ordered.pk}:Final") == [f"{ordered.pk}:Final"]
        ordered.orders.create(round_name="Final", method="by hand", made_by=UserFactory())
        assert ticked() == [f"{ordered.pk}:Qualifying", f"{ordered.pk}:Final"]

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

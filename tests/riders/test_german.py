"""A rider's whole way in German: pages, refusals, messages and letters, and no English left."""

import re
from datetime import timedelta

import time_machine
from django.conf import settings as site
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from events.models import Letter
from riders.log_models import LandingDay
from riders.models import Declaration, PlanVariant
from riders.share_models import CoachLink
from tests.factories import EditionFactory, EntryFactory, RiderFactory
from tests.riders.german_desk import ENGLISH, said


class TestEntering:
    FORM = {
        "born_on": "1990-04-02",
        "emergency_name": "Ada Reed",
        "emergency_phone": "555-0101",
    }

    def test_a_form_that_is_refused_and_then_taken(self, mine):
        division = EditionFactory(data=mine.edition.data).division
        address = reverse("enter", args=[division.pk])
        page = said(mine.client.get(address))
        for words in ("Geburtsdatum", "Wünsche", "In dieser Klasse anmelden"):
            assert words in page
        refused = said(mine.client.post(address, {**self.FORM, "born_on": "1.1.1800"}))
        assert "Das kann nicht das Geburtsdatum sein" in refused
        assert "Lies die Warnhinweise und hake dies an" in refused

        answer = mine.client.post(address, {**self.FORM, "acknowledged": "on"}, follow=True)

        assert f"Du bist in {division} angemeldet. Plane jetzt deinen Lauf." in said(answer)
        letter = Letter.objects.get()
        assert letter.subject == f"Du bist angemeldet: {division.event}"
        assert not ENGLISH.search(letter.text.replace(division.event.venue.start_dock, ""))

    def test_a_child_needs_somebody_who_consents(self, mine):
        division = EditionFactory(data=mine.edition.data).division
        born = f"{timezone.localdate().year - 12}-01-01"
        form = {**self.FORM, "acknowledged": "on", "born_on": born}

        page = said(mine.client.post(reverse("enter", args=[division.pk]), form))

        assert "Die erziehungsberechtigte Person muss zustimmen" in page

    def test_withdrawing_and_being_too_late_for_it(self, mine):
        address = reverse("withdraw", args=[mine.entry.pk])
        with time_machine.travel(mine.division.event.entries_close + timedelta(hours=1)):
            mine.client.force_login(mine.entry.rider.user)
            late = said(mine.client.get(address))
        assert "Du kannst dich hier nicht mehr abmelden" in late
        assert re.search(r"am \w+tag|am Mittwoch", late)  # the day of the week in German

        answer = mine.client.post(address, follow=True)

        assert f"Du bist von {mine.division} abgemeldet." in said(answer)


class TestPlanning:
    def test_rows_that_cannot_be_read(self, mine):
        answer = mine.post("HS backroll 5/4; HS bakroll; 3/4", "Raley 120%", action="declare")

        page = said(answer, "bakroll", "HS backroll")
        for words in (
            "5 von 4 kann nicht sein: Prüf beides.",
            "Schreib die Chance als ganze Zahl in Prozent von 0 bis 100",
            "Einige Zeilen lassen sich noch nicht lesen",
            "Trick 1 in Durchgang 1",
        ):
            assert words in page

    def test_what_breaks_a_rule_is_refused_and_what_holds_is_declared(self, mine):
        refused = said(mine.post("HS backroll; TS backroll; HS tantrum", action="declare"))
        assert (
            "Dieser Lauf verstößt gegen die Regeln und kann nicht gemeldet werden." in refused
        )
        empty = said(mine.post("", "", action="declare"))
        assert "In diesem Lauf ist noch kein Trick" in empty

        answer = mine.client.post(
            mine.url, {"passes": "2", "edition": "1", "side": "starboard", "action": "declare",
                       "p1-rows": "1", "p1-1-trick": "HS backroll", "b1-rows": "0",
                       "p2-rows": "1", "p2-1-trick": "Indy", "b2-rows": "0"}, follow=True,
        )  # fmt: skip

        assert Declaration.objects.count() == 1
        said(answer)
        said(mine.client.get(reverse("riding-home")))
        said(mine.client.get(reverse("dock")))

    def test_the_log_fills_in_and_a_record_too(self, mine):
        mine.post("HS backroll 4/5", "Indy 50%", action="save")
        page = said(mine.post("HS backroll", "Indy"))
        assert "Aus deinen früheren Angaben: 4 von 5 gestanden." in page
        assert "Aus deinen früheren Angaben: 50 %." in page
        LandingDay.objects.create(
            rider=mine.entry.rider,
            trick="HS backroll",
            day=timezone.localdate(),
            landed=1,
            tried=2,
        )
        assert "Aus deinem Trickbuch: 1 von 2 gestanden." in said(mine.post("HS backroll", ""))

    def test_after_the_deadline(self, mine):
        with time_machine.travel(mine.division.event.declare_by + timedelta(hours=1)):
            mine.client.force_login(mine.entry.rider.user)
            page = said(mine.post("HS backroll", "Indy", action="declare"))
        assert "Der Meldeschluss war " in page

    def test_suggestions_mends_and_the_way_back(self, mine):
        mine.post("HS backroll 4/5; TS backroll 1/5; HS tantrum 4/5", "Indy 4/5", action="save")
        page = said(mine.client.get(reverse("suggest", args=[mine.entry.pk])))
        assert "öfter sauber" in page
        said(mine.client.get(reverse("next-trick", args=[mine.entry.pk])))
        form = {"passes": "2", "edition": "1", "side": "starboard", "p1-rows": "3", "b1-rows": "0",
                "p1-1-trick": "HS backroll", "p1-2-trick": "TS backroll", "p1-3-trick": "Raley",
                "p2-rows": "0", "b2-rows": "0"}  # fmt: skip
        planner = mine.client.post(mine.url, {**form, "action": "check"}).context["planner"]
        broken = next(each for each in planner.check.findings if each.grade == "rule")
        mend = f"{broken.code}:{broken.pass_no}:{broken.position}"

        answer = mine.client.post(mine.url, {**form, "mend": mend}, follow=True)

        assert "Berichtigt. Was geschehen ist:" in said(answer)
        variant = PlanVariant.objects.get()
        assert variant.name == "vor: Berichtigung"
        answer = mine.client.post(reverse("variant-use", args=[variant.pk]), follow=True)
        page = said(answer)
        assert "„vor: Berichtigung“ ist jetzt dein Plan." in page
        assert "als Variante „nach: Berichtigung“ aufgehoben" in page
        # Whoever reads English meanwhile goes back and forth all the same.
        mine.client.cookies[site.LANGUAGE_COOKIE_NAME] = "en-gb"
        after = PlanVariant.objects.get(name="nach: Berichtigung")
        mine.client.post(reverse("variant-use", args=[after.pk]))
        names = set(PlanVariant.objects.values_list("name", flat=True))
        assert names == {"vor: Berichtigung", "nach: Berichtigung"}

    def test_a_suggestion_is_taken_over_and_a_trick_added(self, mine):
        mine.post("HS backroll 4/5", "Indy 4/5", action="save")
        address = reverse("apply-suggestion", args=[mine.entry.pk])
        page = said(mine.client.post(address, {"run": "Indy | HS backroll"}, follow=True))
        assert "Der Vorschlag ist jetzt dein Plan." in page
        assert PlanVariant.objects.get().name == "vor: Vorschlag"
        address = reverse("add-trick", args=[mine.entry.pk])
        page = said(mine.client.post(address, {"pass": "1", "trick": "Raley"}, follow=True))
        assert "Raley steht am Ende von Durchgang 1." in page


class TestLog:
    def test_a_line(self, german, desk):
        address = reverse("log-add")
        form = {"trick": "HS backroll", "day": "2031-07-14", "landed": "3", "tried": "2",
                "setting": "full-run practice", "note": ""}  # fmt: skip
        refused = said(desk.client.post(address, form))
        for words in ("Dieser Tag kommt erst noch", "3 von 2 kann nicht sein", "Wake und Ballast",
                      "Training mit ganzem Lauf"):  # fmt: skip
            assert words in refused

        form |= {"day": "2026-07-18", "landed": "1"}
        page = said(desk.client.post(address, form, follow=True))

        assert "Behalten: HS backroll, 1 von 2 am 18. Juli 2026." in page
        assert "Training mit ganzem Lauf" in page
        line = LandingDay.objects.get()
        assert line.setting == "full-run practice"
        said(desk.client.get(reverse("log-edit", args=[line.pk])))
        said(
            desk.client.get(reverse("log-home"), {"first": "2026-01-01", "last": "2026-12-31"})
        )
        remove = reverse("log-delete", args=[line.pk])
        said(desk.client.get(remove))
        answer = desk.client.post(remove, follow=True)
        assert "Gelöscht: HS backroll, 1 von 2 am 18. Juli 2026." in said(answer)

    def test_taps(self, german, desk):
        address = reverse("log-set")
        desk.client.post(address, {"trick": "HS backroll", "tap": "fell"})
        assert "Training" in said(desk.client.get(address))
        answer = desk.client.post(reverse("log-undo"), follow=True)
        assert "Zurückgenommen: HS backroll, gestürzt." in said(answer)
        answer = desk.client.post(reverse("log-undo"), follow=True)
        assert "Es gibt nichts zurückzunehmen" in said(answer)
        answer = desk.client.post(reverse("log-set-trick"), {"trick": "Raley"}, follow=True)
        assert "Raley steht oben in der Liste." in said(answer)

    def test_a_file(self, german, desk):
        address = reverse("log-import")
        said(desk.client.get(address))

        def look(text: str):
            return desk.client.post(
                address, {"file": SimpleUploadedFile("log.csv", text.encode())}
            )

        assert "Die erste Zeile muss die Spalten" in said(
            look("trick,tried\nIndy,3\n"), "trick, day, landed, tried", "day, landed"
        )
        bad = "trick,day,landed,tried,setting\nIndy,heute,1,0,training\n"
        page = said(look(bad), "full-run practice", "landed", "tried")
        for words in ("Schreib den Tag als Jahr-Monat-Tag", "Schreib 1 oder mehr",
                      "Wähle eins davon: practice"):  # fmt: skip
            assert words in page
        good = look("trick,day,landed,tried\nIndy,2026-07-18,1,2\n")
        said(good)
        sent = {"lines": good.context["sealed"]}
        for _again in range(2):
            answer = desk.client.post(reverse("log-import-confirm"), sent, follow=True)
        assert "Keine Zeilen aufgenommen. Eine Zeile stand schon in deinem Trickbuch." in said(
            answer
        )
        answer = desk.client.post(reverse("log-import-confirm"), {"lines": "x"}, follow=True)
        said(answer)


class TestSharing:
    def test_a_plan_is_shared_kept_and_taken_back(self, mine):
        mine.post("HS backroll 4/5; HS bakroll", "Indy", action="save")
        address = reverse("share", args=[mine.entry.pk])
        refused = mine.client.post(address, {"expires_on": "2020-01-01"})
        assert "Dieser Tag ist vorbei" in said(refused)
        page = mine.client.post(address)
        said(page)
        link = page.context["address"]
        said(mine.client.get(link), "bakroll")
        assert "Das ist dein eigener Plan" in said(
            mine.client.post(f"{link}keep/", follow=True), "bakroll"
        )
        coach = RiderFactory()
        mine.client.force_login(coach.user)
        mine.client.cookies[site.LANGUAGE_COOKIE_NAME] = "de"
        rider = mine.entry.rider
        answer = mine.client.post(f"{link}keep/", follow=True)
        assert f"Der Plan von {rider} ist in deinem Coach-Tisch." in said(answer)
        kept = CoachLink.objects.get()
        mine.client.force_login(rider.user)
        answer = mine.client.post(reverse("share-take-back", args=[kept.pk]), follow=True)
        assert f"{coach} sieht diesen Plan nicht mehr." in said(answer)

    def test_variants_copies_and_plans_side_by_side(self, mine):
        mine.post("HS backroll 4/5", "Indy", action="save")
        address = reverse("variants", args=[mine.entry.pk])
        assert "Gib der Variante einen Namen." in said(mine.client.post(address, {"name": ""}))
        answer = mine.client.post(address, {"name": "ruhig"}, follow=True)
        assert "Der Plan ist als Variante „ruhig“ aufgehoben." in said(answer)
        refused = said(mine.client.post(address, {"name": "RUHIG"}))
        assert "Du hast hier schon eine Variante namens RUHIG" in refused
        other = EntryFactory(
            rider=mine.entry.rider, division=EditionFactory(data=mine.edition.data).division
        )
        copy = f"{reverse('copy-plan', args=[mine.entry.pk])}?to={other.pk}&to_round="
        said(mine.client.get(copy))
        mine.client.post(copy)
        mine.post("HS tantrum 4/5", "Indy", action="save")
        page = said(mine.client.post(copy, follow=True))
        assert "Der Plan ist kopiert." in page
        assert "„vor: Kopie aus " in page
        keys = [f"p{plan.pk}" for plan in mine.entry.plans.all()] + ["p0"]
        page = said(mine.client.get(reverse("compare"), {"plan": keys}))
        assert "Ein Plan, den du sehen wolltest, ist nicht mehr da" in page
        assert "Der Plan" in page

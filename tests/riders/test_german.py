"""A rider's whole way in German: pages, refusals, messages and letters, and no English left."""

import re
from datetime import timedelta
from html.parser import HTMLParser
from pathlib import Path

import pytest
import time_machine
from django.conf import settings as site
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone, translation

from events.models import Act, LanguageChoice, Letter
from events.services import GAVE, TOOK, add_official, record
from riders.entry_files import read_entries
from riders.entry_import import look_at
from riders.entry_rows import lines_of
from riders.log_models import LandingDay
from riders.models import Declaration, PlanVariant, Rider
from riders.own_data import own_data
from riders.share_models import CoachLink
from tests.factories import ClubFactory, EditionFactory, EntryFactory, RiderFactory, UserFactory
from tests.riders.re_declaring import ONE_INVERT, declared, publish

ENGLISH = re.compile(
    r"\b(?:the|is|are|not|of|and|it|you|your|with|that|this|there|which|whether|how|from|"
    r"write|choose|nothing|kept|landed|tried|runs|pass|falls|organiser|rider’s|before|after)\b",
    re.IGNORECASE,
)
"""Words of nearly every English sentence that no German one has."""
SILENT = {"script", "style", "code", "pre", "svg", "datalist"}
SAID = ("aria-label", "alt", "title", "placeholder", "value")


class Reader(HTMLParser):
    """What a page says to people; what somebody typed or wrote as code is left out."""

    def __init__(self, typed: tuple[str, ...]) -> None:
        super().__init__()
        self.typed = typed
        self.texts: list[str] = []
        self.silent: list[str] = []

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        if tag in SILENT or attributes.get("lang") == "en":
            self.silent.append(tag)
        names = SAID if tag == "input" and attributes.get("type") == "submit" else SAID[:-1]
        if not self.silent:
            self.texts += [attributes[name] for name in names if attributes.get(name)]

    def handle_endtag(self, tag):
        if self.silent and tag == self.silent[-1]:
            self.silent.pop()

    def handle_data(self, data):
        if not self.silent:
            self.texts.append(data)

    @property
    def text(self) -> str:
        text = " ".join(" ".join(self.texts).split())
        for words in self.typed:
            text = text.replace(words, " ")
        return text


TYPED = (
    "No more than two inverts", "No more than one invert", "Reed Cup", "Reedlake Riders",
    "Long Reed", "The blue dock", "North to south",
)  # fmt: skip


def said(answer, *typed: str) -> str:
    """The words of a page, which is in German from head to foot."""
    html = answer.content.decode()
    assert '<html lang="de"' in html
    reader = Reader((*typed, *TYPED))
    reader.feed(html)
    english = [
        reader.text[max(0, m.start() - 60) : m.end() + 40]
        for m in ENGLISH.finditer(reader.text)
    ]
    assert not english, english
    return reader.text


@pytest.fixture
def german(settings, client, german_catalogue: Path):
    """The visitor chose German, and today's catalogues are in use."""
    settings.LOCALE_PATHS = [german_catalogue]
    client.cookies[site.LANGUAGE_COOKIE_NAME] = "de"


@pytest.fixture
def mine(german, desk):
    """The desk of a rider who reads German, letters too."""
    LanguageChoice.objects.create(user=desk.entry.rider.user, language="de")
    return desk


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


class TestAccount:
    def test_joining(self, german, db, client):
        address = reverse("sign-up")
        UserFactory(username="ilka@example.org")
        form = {"given_name": "Ilka", "family_name": "", "foot": "left", "club_name": "",
                "email": "ilka@example.org", "password": "1234"}  # fmt: skip
        page = said(client.post(address, form))
        for words in ("Es gibt schon ein Konto mit dieser E-Mail", "Vorname", "Familienname",
                      "Passwort", "Mein Konto anlegen", "Linker Fuß vorne"):  # fmt: skip
            assert words in page

    def test_the_address_the_devices_and_what_the_site_holds(self, mine):
        said(mine.client.get(reverse("account")))
        said(mine.client.get(reverse("rider-edit")))
        same = {"email": mine.entry.rider.user.email}
        page = said(mine.client.post(reverse("account-address"), same), same["email"])
        assert "Das ist schon deine Adresse." in page
        answer = mine.client.post(
            reverse("account-address"), {"email": "new@example.org"}, follow=True
        )
        said(answer, "new@example.org")
        answer = mine.client.post(reverse("account-out"), follow=True)
        assert "Du bist überall ausgeloggt." in said(answer)
        with translation.override("de"):
            assert "users" in own_data(mine.entry.rider.user)  # the names in a file stay

    def test_erasing(self, mine):
        page = said(mine.client.post(reverse("account-erase"), {"word": "ja"}), "erase")
        assert "Nichts wurde gelöscht. Schreib das Wort" in page
        user = mine.entry.rider.user
        club = mine.division.event.club
        for language in ("de", "en-gb"):
            with translation.override(language):
                role = add_official(club=club, user=user, role="table", by=UserFactory())
                role.delete()
        record(club=club, by=UserFactory(), what=f"Changed the venue {user.username} Bay.")

        answer = mine.client.post(reverse("account-erase"), {"word": "erase"}, follow=True)

        assert "Deine Daten sind gelöscht, und das Konto mit ihnen." in said(answer)
        # Everybody reads what is left of the name, so it is in the language of the site.
        assert str(Rider.objects.get(pk=mine.entry.rider.pk)) == "Rider withdrawn"
        lines = list(Act.objects.filter(club=club).values_list("what", flat=True))
        assert f"Changed the venue {user.username} Bay." in lines
        about = [each for each in lines if "somebody who left" in each or "dabei ist" in each]
        assert len(about) == 2
        assert not any(user.username in each for each in about)

    def test_the_last_organiser_stays(self, mine):
        club = ClubFactory(name="Schilfsee")
        user = mine.entry.rider.user
        add_official(club=club, user=user, role="organiser", by=user)

        page = said(mine.client.get(reverse("account-erase")), "erase")

        assert "Du bist der einzige Veranstalter von Schilfsee." in page


class TestLetters:
    def test_each_rider_reads_their_own_language(self, mine):
        other = EntryFactory(division=mine.division)
        for entry in (mine.entry, other):
            declared(entry, "HS backroll, TS backroll | Indy")

        with translation.override("de"):  # the organiser's
            publish(mine.division, limits=[ONE_INVERT])

        german = Letter.objects.get(person=mine.entry.rider.user)
        english = Letter.objects.get(person=other.rider.user)
        assert german.subject.startswith(
            "Dein gemeldeter Lauf verstößt gegen eine neue Regel: "
        )
        text = german.text
        for words in (*TYPED, str(mine.division.event), "HS backroll, TS backroll | Indy"):
            text = text.replace(words, "")
        assert not ENGLISH.search(text), text
        assert english.subject.startswith("Your declared run breaks a new rule: ")
        assert "It breaks the rules now:" in english.text
        assert "What changed since:" in english.text


class TestFiles:
    def test_what_is_written_for_a_german_is_read_by_everybody(self, mine):
        with translation.override("de"):
            line = lines_of([mine.entry])[0]
        assert (line["state"], line["fee"], line["foot"]) == ("Has a place", "Due", "Left")

    def test_bad_cells(self, mine):
        table = read_entries(
            "Given name,Family name,E-mail,Sex,Fee\nRuna,Example,runa,Mensch,später\n".encode()
        )
        with translation.override("de"):
            look = look_at(event=mine.division.event, table=table)
        ((_number, wrong),) = look.bad
        sentences = " ".join(sentence for _column, _cell, sentence in wrong)
        assert "Das ist keine E-Mail-Adresse." in sentences
        assert "Schreib Due, Paid oder Waived." in sentences


def test_lines_about_roles_name_the_person_once_and_the_role():
    """Erasing finds them by these."""
    for message in (GAVE, TOOK):
        assert {"{user}", "{role}"} <= set(re.findall(r"{\w+}", message))

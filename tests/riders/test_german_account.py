"""A rider's account, letters and files in German, and no English left."""

import re

from django.urls import reverse
from django.utils import translation

from events.models import Act, Letter
from events.services import GAVE, TOOK, add_official, record
from riders.entry_files import read_entries
from riders.entry_import import look_at
from riders.entry_rows import lines_of
from riders.models import Rider
from riders.own_data import own_data
from tests.factories import ClubFactory, EntryFactory, UserFactory
from tests.riders.german_desk import ENGLISH, TYPED, said
from tests.riders.re_declaring import ONE_INVERT, declared, publish


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

"""The table's pages: who may see them, what they show, and what they do with bad input."""

import hashlib

import pytest
from django.urls import reverse

from events.models import Official
from events.rules.words import RidingOrder
from riders.models import Bib, Declaration
from runsheets.bibs import save_bibs
from runsheets.lineup import lineup
from runsheets.models import RunningOrder
from runsheets.orders import make_order, order_version
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    OfficialFactory,
    UserFactory,
)
from tests.runsheets.table_desk import declare_for, entry_of, pages

pytestmark = pytest.mark.django_db


class TestAccess:
    @pytest.mark.parametrize("page", ["event", "order", "bibs", "readiness", "sheets"])
    def test_nobody_else_gets_in(self, client, division, page) -> None:
        url = pages(division)[page]
        assert client.get(url).url == f"{reverse('sign-in')}?next={url}"
        assert client.post(url).status_code in (302, 405)
        rider = entry_of(division, "Ayer").rider.user
        other_club = OfficialFactory(role=Official.Role.ORGANISER).user
        dock = OfficialFactory(club=division.event.club, role=Official.Role.DOCK).user
        for user in (rider, other_club, dock, UserFactory()):
            client.force_login(user)
            assert client.get(url).status_code == 403
            assert client.post(url, {"move": "up-1"}).status_code in (403, 405)
        assert not RunningOrder.objects.exists()

    @pytest.mark.parametrize("role", [Official.Role.TABLE, Official.Role.ORGANISER])
    def test_table_and_organisers_get_in(self, client, division, role) -> None:
        client.force_login(OfficialFactory(club=division.event.club, role=role).user)
        for url in pages(division).values():
            assert client.get(url).status_code == 200

    def test_home_lists_only_own_events(self, client, division, table) -> None:
        other = DivisionFactory().event
        page = client.get(reverse("table-home")).text

        assert division.event.name in page
        assert other.name not in page

    def test_home_of_somebody_without_a_role(self, client) -> None:
        client.force_login(UserFactory())

        assert "You sit at no table" in client.get(reverse("table-home")).text

    @pytest.mark.parametrize("name", ["table-order", "table-sheets"])
    def test_no_such_division(self, client, table, name) -> None:
        assert client.get(reverse(name, args=[987654])).status_code == 404


class TestOrder:
    def test_making_it(self, client, division, table) -> None:
        url = f"{pages(division)['order']}?round=Qualifying"
        data = {"method": "random", "seed": "reed 9", "version": ""}
        page = client.post(url, data, follow=True).text

        assert RunningOrder.objects.get().seed == "reed 9"
        assert "reed 9" in page

    def test_how_to_repeat_a_draw(self, client, division, table) -> None:
        """Riders without a bib are drawn by entry; the lots are listed in riding order."""
        data = {"method": "random", "seed": "reed 9", "version": ""}
        page = client.post(pages(division)["order"], data, follow=True).text

        entries = [entry.pk for entry in lineup(division, "Qualifying").ordered]
        lots = [hashlib.sha256(f"reed 9:{pk}".encode()).hexdigest()[:8] for pk in entries]
        assert lots == sorted(lots)
        places = [
            page.index(f"Entry {pk}: <code>{own}")
            for pk, own in zip(entries, lots, strict=True)
        ]
        assert places == sorted(places)
        assert "was changed after the draw" not in page

    def test_no_draw_no_lots(self, client, division, table) -> None:
        page = client.post(pages(division)["order"], {"method": "alphabetical"}, follow=True)

        assert "is made" in page.text
        assert "How to repeat the draw" not in page.text

    def test_a_draw_without_a_seed_keeps_what_was_typed(self, client, division, table) -> None:
        page = client.post(pages(division)["order"], {"method": "random", "seed": " "}).text

        assert "Write a draw word" in page
        assert not RunningOrder.objects.exists()

    @pytest.mark.parametrize("method", ["", "by rank", "ranking, best last"])
    def test_a_method_without_data_is_not_taken(self, client, division, table, method) -> None:
        response = client.post(pages(division)["order"], {"method": method, "seed": "s"})

        assert response.status_code == 200
        assert not RunningOrder.objects.exists()

    def test_moving(self, client, division, table) -> None:
        order = make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.ALPHABETICAL,
        )  # fmt: skip
        last = entry_of(division, "Łozowski")
        data = {"version": order_version(order), "move": f"up-{last.pk}"}
        response = client.post(f"{pages(division)['order']}?round=Qualifying", data)

        assert response.url.endswith(f"#rider-{last.pk}")
        names = [e.rider.family_name for e in lineup(division, "Qualifying").ordered]
        assert names == ["Ayer", "Łozowski", "Brandquist"]

    @pytest.mark.parametrize("what", ["up-{}", "sideways-1", "up-", "up-999999", "", "up-٣"])
    def test_a_move_that_no_longer_fits(self, client, division, table, what) -> None:
        """A page that is out of date gets the fresh order and a sentence."""
        make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.ALPHABETICAL,
        )  # fmt: skip
        entry = entry_of(division, "Łozowski")
        data = {"version": "0123456789abcdef", "move": what.format(entry.pk)}
        page = client.post(f"{pages(division)['order']}?round=Qualifying", data, follow=True)

        assert "somebody else in the meantime" in page.text
        names = [e.rider.family_name for e in lineup(division, "Qualifying").ordered]
        assert names == ["Ayer", "Brandquist", "Łozowski"]

    def test_drawing_on_a_stale_page_keeps_the_seed(self, client, division, table) -> None:
        make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.ALPHABETICAL,
        )  # fmt: skip
        data = {"method": "random", "seed": "my own seed", "version": ""}
        page = client.post(pages(division)["order"], data).text

        assert "somebody else in the meantime" in page
        assert 'value="my own seed"' in page
        assert RunningOrder.objects.get().method == "alphabetical"

    def test_late_entries_are_listed_with_a_button(self, client, division, table) -> None:
        make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.ALPHABETICAL,
        )  # fmt: skip
        late = EntryFactory(division=division)
        page = client.get(pages(division)["order"]).text

        assert "Not yet in the order" in page
        assert f'value="add-{late.pk}"' in page

    def test_a_later_round_asks_who_rides(self, client, division, table) -> None:
        url = f"{pages(division)['order']}?round=Final"
        assert "Who rides in this round" in client.get(url).text
        chosen = entry_of(division, "Brandquist")
        client.post(url, {"method": "by hand", "riders": [chosen.pk], "version": ""})

        assert [e.pk for e in lineup(division, "Final").ordered] == [chosen.pk]

    def test_no_such_round(self, client, division, table) -> None:
        for page in ("order", "sheets"):
            response = client.get(f"{pages(division)[page]}?round=Nowhere", follow=True)
            assert "There is no such round" in response.text


class TestBibs:
    def post(self, client, division, **numbers):
        riders = {e.rider.family_name: e.rider for e in division.entries.all()}
        held = dict(Bib.objects.values_list("rider", "number"))
        data = {}
        for name, rider in riders.items():
            key = f"bib-{rider.pk}"
            data[f"initial-{key}"] = held.get(rider.pk, "")
            data[key] = numbers.get(name, held.get(rider.pk, ""))
        data |= {"fill": "1"} if "fill" in numbers else {}
        return client.post(pages(division)["bibs"], data, follow=True)

    def numbers(self):
        return dict(Bib.objects.values_list("rider__family_name", "number"))

    def test_giving_and_swapping(self, client, division, table) -> None:
        self.post(client, division, Ayer="7", Brandquist="8")
        self.post(client, division, Ayer="8", Brandquist="7")

        assert self.numbers() == {"Ayer": 8, "Brandquist": 7}

    def test_a_clash_is_said_at_both_and_nothing_is_lost(self, client, division, table) -> None:
        page = self.post(client, division, Ayer="12", Łozowski="12", Brandquist="5").text

        assert "Bib 12 is given to Ilka Ayer too." in page
        assert "Bib 12 is given to Ilka Łozowski too." in page
        assert page.count('value="12"') == 2
        assert 'value="5"' in page
        assert not self.numbers()

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ("twelve", "Write digits only, such as 12"),
            ("-3", "Write digits only"),
            ("1_2", "Write digits only"),
            ("1.5", "Write digits only"),
            ("0", "Use a number from 1 to 9999."),
            ("10000", "Use a number from 1 to 9999."),
            ("9" * 400, "Use a number from 1 to 9999."),
        ],
    )
    def test_what_is_no_bib(self, client, division, table, typed, sentence) -> None:
        page = self.post(client, division, Ayer=typed).text

        assert sentence in page
        assert f'value="{typed}"' in page

    def test_the_next_free_numbers(self, client, division, table) -> None:
        self.post(client, division, Brandquist="2", fill=True)

        assert self.numbers() == {"Ayer": 1, "Brandquist": 2, "Łozowski": 3}

    def test_what_somebody_else_saved_meanwhile_stays(self, client, division, table) -> None:
        """Only the fields that were changed on the page are saved."""
        ayer, brandquist, _ = (e.rider for e in division.entries.order_by("rider__family_name"))
        save_bibs(event=division.event, numbers={ayer.pk: 30}, by=table)
        data = {f"initial-bib-{ayer.pk}": "", f"bib-{ayer.pk}": "",
                f"initial-bib-{brandquist.pk}": "", f"bib-{brandquist.pk}": "31"}  # fmt: skip
        client.post(pages(division)["bibs"], data)

        assert self.numbers() == {"Ayer": 30, "Brandquist": 31}


def test_readiness_names_who_has_not_declared(client, division, table) -> None:
    declare_for(entry_of(division, "Ayer"))
    page = client.get(pages(division)["readiness"]).text
    qualifying = page[page.index("Qualifying") : page.index("Final")]

    assert "1 of 3 declared" in qualifying
    assert "Ilka Brandquist" in qualifying
    assert "Ilka Ayer" not in qualifying


@pytest.mark.parametrize("page", ["event", "order", "bibs", "readiness", "sheets"])
def test_queries_do_not_grow_with_riders(
    client, division, table, page, django_assert_num_queries, django_assert_max_num_queries
) -> None:
    """Five riders and forty need the same number of queries."""

    def fill(count: int) -> None:
        while division.entries.count() < count:
            declare_for(EntryFactory(division=division))
        make_order(
            division=division, round_name="Qualifying", by=table,
            method=RidingOrder.ALPHABETICAL,
        )  # fmt: skip

    url = pages(division)[page]
    fill(5)
    with django_assert_max_num_queries(20) as few:
        b"".join(client.get(url))
    fill(40)
    with django_assert_num_queries(len(few)):
        b"".join(client.get(url))
    assert Declaration.objects.count() == 37


class TestEntries:
    def test_guardians_are_for_organisers_only(self, client, db):
        """A guardian's name is needed at the lake and is nobody else's business."""
        entry = EntryFactory(guardian="Ada Reedmother")
        club = entry.division.event.club
        address = reverse("table-entries", args=[entry.division.event.slug])

        client.force_login(OfficialFactory(club=club).user)
        assert "Ada Reedmother" in client.get(address).content.decode()
        client.force_login(OfficialFactory(club=club, role=Official.Role.TABLE).user)
        page = client.get(address).content.decode()
        assert entry.rider.name in page
        assert "Ada Reedmother" not in page
        client.force_login(entry.rider.user)
        assert client.get(address).status_code == 403

    def test_queries_are_flat(self, client, db, django_assert_max_num_queries):
        entry = EntryFactory()
        client.force_login(OfficialFactory(club=entry.division.event.club).user)
        address = reverse("table-entries", args=[entry.division.event.slug])
        for _ in range(12):
            EntryFactory(division=entry.division)

        with django_assert_max_num_queries(10):
            client.get(address)

"""Two organisers at one draft: nobody's work is lost unseen, and nothing unseen is published."""

from threading import Barrier, Thread

import pytest
from django.db import connection
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Division, Edition
from events.rules.loading import load_format
from events.services import DraftChanged, draft_stamp, save_draft
from tests.factories import DivisionFactory, OfficialFactory, UserFactory

ONE, TWO, THREE = (load_format(f"[passes]\ncount = {n}") for n in (1, 2, 3))


@pytest.fixture
def division(db, client) -> Division:
    division = DivisionFactory(draft={"passes": {"count": 1}})
    client.force_login(OfficialFactory(club=division.event.club).user)
    return division


def page(division, name="format-edit") -> str:
    return reverse(name, args=[division.pk])


def typed(client, division) -> dict[str, str]:
    """What the form sends; all else in it is empty."""
    return {
        "seen": client.get(page(division)).context["seen"],
        "do": "save",
        "passes-count": "1",
    }


def passes(division) -> int | None:
    return Division.objects.get(pk=division.pk).draft_format.passes.count


def test_the_second_sees_the_first_and_keeps_what_was_typed(client, division) -> None:
    mine = typed(client, division) | {"passes-count": "3"}
    save_draft(division=division, format=TWO, by=UserFactory())

    answer = client.post(page(division), mine)

    assertContains(answer, "Somebody else saved this draft meanwhile")
    assertContains(answer, "three passes")
    assertContains(answer, 'name="passes-count" value="3"')
    assert passes(division) == 2

    client.post(page(division), mine | {"seen": answer.context["seen"]})
    assert passes(division) == 3


def test_the_same_saved_twice_is_no_quarrel(client, division) -> None:
    mine = typed(client, division) | {"passes-count": "2"}
    save_draft(division=division, format=TWO, by=UserFactory())

    assert client.post(page(division), mine).status_code == 302


def test_a_check_in_between_keeps_what_was_begun_from(client, division) -> None:
    mine = typed(client, division) | {"passes-count": "3"}
    save_draft(division=division, format=TWO, by=UserFactory())
    checked = client.post(page(division), mine | {"do": "check"})

    answer = client.post(page(division), mine | {"seen": checked.context["seen"]})

    assertContains(answer, "Somebody else saved this draft meanwhile")
    assert passes(division) == 2


def test_as_toml(client, division) -> None:
    at = page(division, "format-text")
    seen = client.get(at).context["form"]["seen"].value()
    save_draft(division=division, format=TWO, by=UserFactory())
    mine = {"text": "[passes]\ncount = 3", "seen": seen}

    answer = client.post(at, mine)
    assertContains(answer, "Somebody else saved this draft meanwhile")
    assertContains(answer, "count = 3")
    assert passes(division) == 2

    client.post(at, mine | {"seen": answer.context["form"]["seen"].value()})
    assert passes(division) == 3


def test_only_what_was_looked_at_is_published(client, division) -> None:
    seen = client.get(page(division, "format-preview")).context["seen"]
    save_draft(division=division, format=TWO, by=UserFactory())

    answer = client.post(page(division, "format-publish"), {"seen": seen}, follow=True)

    assertContains(answer, "The draft was changed since you looked at it")
    assert not Edition.objects.exists()
    client.post(page(division, "format-publish"), {"seen": answer.context["seen"]})
    assert Edition.objects.get().format == TWO


def test_starting_afresh_asks_again_where_the_draft_is_another(client, division) -> None:
    """The question was about the draft of then; somebody else's work is not replaced unseen."""
    at, source = page(division, "format-start"), {"source": "example:jam"}
    asked = client.post(at, source | {"seen": client.get(page(division)).context["seen"]})
    assertNotContains(asked, "Somebody else")
    sure = source | {"sure": "on", "seen": asked.context["seen"]}
    save_draft(division=division, format=TWO, by=UserFactory())

    answer = client.post(at, sure)

    assertContains(answer, "Somebody else saved this draft meanwhile")
    assertContains(answer, "two passes")
    assert passes(division) == 2
    client.post(at, sure | {"seen": answer.context["seen"]})
    assert passes(division) != 2


def test_starting_afresh_where_there_was_nothing_yet(client, division) -> None:
    """No question was asked, because the draft was empty when the page was opened."""
    division.draft = {}
    division.save(update_fields=["draft"])
    seen = client.get(page(division)).context["seen"]
    save_draft(division=division, format=TWO, by=UserFactory())

    answer = client.post(
        page(division, "format-start"), {"source": "example:jam", "seen": seen}
    )

    assertContains(answer, f"Replace the draft of {division.name}?")
    assertContains(answer, "Somebody else saved this draft meanwhile")
    assert passes(division) == 2


def test_alone_nobody_is_told_anything(client, division) -> None:
    answer = client.post(page(division), typed(client, division), follow=True)

    assertContains(answer, "The draft is saved")
    assertNotContains(answer, "Somebody else")


@pytest.mark.django_db(transaction=True)
def test_at_the_same_moment_one_of_two_is_told() -> None:
    division = DivisionFactory(draft={"passes": {"count": 1}})
    seen, start = draft_stamp(division), Barrier(2)
    by = UserFactory()
    told = []

    def save(format) -> None:
        mine = Division.objects.get(pk=division.pk)
        start.wait()
        try:
            save_draft(division=mine, format=format, by=by, seen=seen)
        except DraftChanged:
            told.append(format)
        finally:
            connection.close()

    threads = [Thread(target=save, args=[each]) for each in (TWO, THREE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(told) == 1
    assert passes(division) == (3 if told == [TWO] else 2)

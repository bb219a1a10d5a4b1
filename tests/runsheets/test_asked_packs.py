"""Long packs of papers, made by the worker: asked for, waited for, opened, and what goes wrong."""

import signal
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from pypdf import PdfReader
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from events.models import Official
from runsheets import print_acts
from runsheets.models import AskedPack, Printing
from runsheets.print_acts import BROKE, NOTHING_CHANGED, again, is_long, prepare
from runsheets.printing import Choice
from tests.factories import OfficialFactory
from tests.runsheets.print_desk import page, printed, sent

pytestmark = pytest.mark.django_db
State = AskedPack.State


@pytest.fixture
def worker(settings, monkeypatch):
    """A worker runs beside the site, and three riders are many."""
    settings.POST_WORKER, settings.SITE_URL = True, "http://testserver"
    monkeypatch.setattr(print_acts, "LONG", 2)


@pytest.fixture
def same_signals():
    """The worker sets what Ctrl+C does; put back afterwards."""
    names = (signal.SIGINT, signal.SIGTERM, signal.SIGQUIT)
    before = [signal.getsignal(name) for name in names]
    yield
    for name, handler in zip(names, before, strict=True):
        signal.signal(name, handler)


def ask(client, division, **changes) -> AskedPack:
    answer = printed(client, division, **changes)
    asked = AskedPack.objects.first()
    assertRedirects(answer, reverse("table-pack", args=[asked.pk]))
    return asked


def at(asked, name="table-pack") -> str:
    return reverse(name, args=[asked.pk])


@pytest.mark.django_db(transaction=True)
def test_the_worker_makes_what_was_asked_for(client, ordered, worker, table, same_signals):
    asked = ask(client, ordered)
    assertContains(client.get(at(asked)), "Being prepared")
    assert client.get(at(asked, "table-pack-file")).status_code == 404
    assert not Printing.objects.exists()

    call_command("db_worker", batch=True, startup_delay=False, reload=False, verbosity=0)

    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    assertContains(client.get(at(asked)), "Ready: 6 papers")
    fragment = client.get(at(asked), headers={"HX-Request": "true"})
    assertContains(fragment, "Open the papers")
    assertNotContains(fragment, "<html")
    data = b"".join(client.get(at(asked, "table-pack-file")).streaming_content)
    text = " ".join(each.extract_text() for each in PdfReader(BytesIO(data)).pages)
    assert "Łozowski" in text
    assert Printing.objects.filter(printed_by=table).count() == 6


def test_the_same_papers_as_at_once(client, ordered, worker, settings):
    asked = ask(client, ordered, paper="letter")
    prepare(asked.pk)
    asked.refresh_from_db()
    settings.POST_WORKER = False
    direct = b"".join(printed(client, ordered, paper="letter").streaming_content)

    def words(data):
        return [each.extract_text() for each in PdfReader(BytesIO(data)).pages]

    assert words(bytes(asked.document)) == words(direct)


def test_short_packs_are_made_at_once(client, ordered, worker, settings, monkeypatch):
    event = ordered.event
    assert is_long(event, Choice())
    assert is_long(event, Choice(rounds=[(ordered.pk, "Qualifying")]))
    assert not is_long(event, Choice(rounds=[(ordered.pk, "Final")]))
    assert not is_long(event, Choice(heat=2))
    settings.POST_WORKER = False
    assert not is_long(event, Choice())
    assert printed(client, ordered)["Content-Type"] == "application/pdf"


def test_it_is_made_once(client, ordered, worker):
    asked = ask(client, ordered)
    AskedPack.objects.update(state=State.MAKING, begun_at=timezone.now())
    prepare(asked.pk)
    assert not Printing.objects.exists()

    AskedPack.objects.update(begun_at=timezone.now() - timedelta(minutes=6))
    prepare(asked.pk)  # whoever made it was stopped half-way
    prepare(asked.pk)

    assert AskedPack.objects.get().state == State.READY
    assert Printing.objects.count() == 6


def test_nothing_to_print_is_said(client, ordered, worker):
    prepare(ask(client, ordered).pk)
    client.post(page(ordered), sent(ordered, changed="1"))
    asked = AskedPack.objects.first()
    prepare(asked.pk)

    assertContains(client.get(at(asked)), NOTHING_CHANGED)


def test_a_failure_is_said_and_tried_again(client, ordered, worker, monkeypatch):
    def breaks(*args, **kwargs):
        raise OSError("no room")

    asked = ask(client, ordered)
    with monkeypatch.context() as broken:
        broken.setattr(print_acts, "papers_pdf", breaks)
        prepare(asked.pk)
    assertContains(client.get(at(asked)), BROKE)
    assert not Printing.objects.exists()

    answer = client.post(at(asked), follow=True)

    assertContains(answer, "Ready: 6 papers")


def test_a_worker_that_sleeps_is_said(client, ordered, worker):
    asked = ask(client, ordered)
    assertNotContains(client.get(at(asked)), "Make them here")
    AskedPack.objects.update(asked_at=timezone.now() - timedelta(minutes=2))
    assertContains(client.get(at(asked)), "Make them here")

    again(asked.pk)

    assert AskedPack.objects.get().state == State.READY


def test_packs_of_yesterday_are_thrown_away(client, ordered, worker):
    old = ask(client, ordered)
    AskedPack.objects.update(asked_at=timezone.now() - timedelta(days=2))

    ask(client, ordered)

    assert not AskedPack.objects.filter(pk=old.pk).exists()
    assert AskedPack.objects.count() == 1


def test_others_see_nothing(client, ordered, worker):
    asked = ask(client, ordered)
    prepare(asked.pk)
    for official in (OfficialFactory(), OfficialFactory(
        club=ordered.event.club, role=Official.Role.DOCK
    )):  # fmt: skip
        client.force_login(official.user)
        for name in ("table-pack", "table-pack-file"):
            assert client.get(at(asked, name)).status_code == 403


def test_few_queries(client, ordered, worker, django_assert_max_num_queries):
    asked = ask(client, ordered)
    prepare(asked.pk)
    for name in ("table-pack", "table-pack-file"):
        with django_assert_max_num_queries(6):
            client.get(at(asked, name))

"""The check at every change, as a whole request, against an empty page of the same site.

Two runs take turns, so that nothing kept from the same run a moment ago makes it look quick.

The empty page is the rider's landing log with nothing in it: signed in, with its queries and
its form. The frame of the site alone is measured beside it and printed.
"""

import gc
from time import perf_counter
from urllib.parse import urlencode

import pytest
from django.core.handlers.wsgi import WSGIHandler, WSGIRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client, RequestFactory
from django.urls import path

from events.project.urls import urlpatterns as site
from events.rules.loading import as_data, load_format
from tests.factories import EditionFactory, EntryFactory
from tests.riders.conftest import RULES, fields

TOKEN = "b" * 32
HTMX = {"HX-Request": "true", "X-CSRFToken": TOKEN}
FORM = "application/x-www-form-urlencoded"  # as a browser sends it
EMPTY = "/riding/log/"
RUN = (
    "HS backroll 4/5; TS FS 180 9/10; HS FS 360 2/5; TS indy 9/10; HS FS 180 5/5",
    "HS wake jump 5/5; TS backroll 3/5; TS FS 360 1/2; Method 4/5; switch HS FS 180 7/9",
)
OTHER = (
    "TS backroll 2/5; HS FS 180 6/10; TS FS 360 3/5; HS indy 7/10; switch TS FS 180 4/5",
    "TS wake jump 4/5; Tantrum 2/5; HS BS 180 1/3; Melon 4/9; switch HS wake jump 6/9",
)


def bare(request: HttpRequest) -> HttpResponse:
    """The site's frame with nothing in it; no page of the site is as quick."""
    return render(request, "_base.html")


urlpatterns = [*site, path("bare/", bare)]


class Asker:
    """Requests straight to the site's WSGI application, as a server makes them.

    The test client would add its own copying of every template's context.
    """

    def __init__(self, client: Client) -> None:
        kept = {key: each.value for key, each in client.cookies.items()} | {"csrftoken": TOKEN}
        self.cookies = "; ".join(f"{key}={value}" for key, value in kept.items())
        self.site = WSGIHandler()

    def ask(self, address: str, typed: str | None = None) -> bytes:
        """The body of the answer, which must be 200."""
        method = RequestFactory().get if typed is None else RequestFactory().post
        more = {} if typed is None else {"data": typed, "content_type": FORM}
        request = method(address, headers=HTMX, HTTP_COOKIE=self.cookies, **more)
        # Not called as an application: its signals would close the test's own connection.
        answer = self.site.get_response(WSGIRequest(request.environ))
        assert answer.status_code == 200
        return answer.content

    def ask_from(self, depth: int, *asked: str) -> None:
        """Ask from so many calls down.

        Python keeps its calls in blocks of memory. A loop at the edge of a block asks the
        system for a new one at every turn, and how deep a test calls is no matter of the page.
        """
        if depth:
            self.ask_from(depth - 1, *asked)
        else:
            self.ask(*asked)

    def shortest(self, *asked: tuple[str, ...], times: int = 80) -> list[float]:
        """The shortest time of each request, in seconds: what is left when nothing else runs.

        They take turns, so that other work on the machine disturbs them alike.
        """
        spent: list[list[float]] = [[] for _ in asked]
        gc.collect()
        gc.freeze()  # a server does not look through all that the tests hold in memory
        for turn in range(times):
            for each, kept in zip(asked, spent, strict=True):
                begun = perf_counter()
                self.ask_from(20 * (turn % 10), *each)
                kept.append(perf_counter() - begun)
        gc.unfreeze()
        return [min(kept) for kept in spent]


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.test_bench_instant_check")
def test_the_instant_check_against_an_empty_page(client, benchmark):
    """At most four times the rider's empty landing log."""
    edition = EditionFactory(data=as_data(load_format(RULES)))
    entry = EntryFactory(division=edition.division)
    client.force_login(entry.rider.user)
    asker = Asker(client)
    plan = f"/riding/entries/{entry.pk}/plan/"
    typed = [
        urlencode(fields(*run, bonus=bonus, action=""))
        for run, bonus in ((RUN, "Tantrum 3/5"), (OTHER, "HS backroll 1/2"))
    ]
    for each in typed:
        assert "cannot be read" not in asker.ask(plan, each).decode()

    checks = [(plan, each) for each in typed]
    bare, nothing, *found = asker.shortest(("/bare/",), (EMPTY,), *checks)
    whole = max(found)
    benchmark.extra_info |= {"bare_ms": bare * 1000, "empty_ms": nothing * 1000}
    said = ", ".join(
        f"{name} {spent * 1000:.1f} ms"
        for name, spent in (("bare page", bare), ("empty log", nothing), ("check", whole))
    )
    print(f"\n{said}")
    benchmark.pedantic(asker.ask, args=(plan, typed[0]), rounds=10)

    assert whole <= 4 * nothing


@pytest.mark.django_db
def test_the_instant_check_grows_with_the_tricks(client, benchmark):
    """At most linear from 2 x 5 to 4 x 12 tricks."""
    rules = RULES.replace("count = 2", "count = 4").replace(
        "tricks_most = 5", "tricks_most = 12"
    )
    edition = EditionFactory(data=as_data(load_format(rules.replace("400", "1200"))))
    entry = EntryFactory(division=edition.division)
    client.force_login(entry.rider.user)
    asker, address = Asker(client), f"/riding/entries/{entry.pk}/plan/"
    row = "; ".join(["HS backroll 4/5", "TS indy 9/10", "HS FS 360 2/5", "TS FS 180 5/5"] * 3)
    runs = {
        passes * tricks: urlencode(
            fields(*["; ".join(row.split("; ")[:tricks])] * passes, action="")
        )
        for passes, tricks in ((2, 5), (2, 12), (4, 12))
    }
    asked = [(address, typed) for typed in runs.values()]
    for each in asked:
        asker.ask(*each)
    spent = dict(zip(runs, asker.shortest(*asked), strict=True))
    print("\n" + ", ".join(f"{n} tricks {each * 1000:.1f} ms" for n, each in spent.items()))
    benchmark.pedantic(asker.ask, args=asked[-1], rounds=5)

    assert spent[48] <= 48 / 10 * spent[10]

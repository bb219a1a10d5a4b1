"""The check at every change, as a whole request, against an empty page of the same site."""

from time import perf_counter

import pytest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client
from django.urls import path

from events.project.urls import urlpatterns as site
from events.rules.loading import as_data, load_format
from tests.factories import EditionFactory, EntryFactory
from tests.riders.conftest import RULES, fields

HTMX = {"HX-Request": "true"}
RUN = (
    "HS backroll 4/5; TS FS 180 9/10; HS FS 360 2/5; TS indy 9/10; HS FS 180 5/5",
    "HS wake jump 5/5; TS backroll 3/5; TS FS 360 1/2; Method 4/5; switch HS FS 180 7/9",
)


def empty(request: HttpRequest) -> HttpResponse:
    """A page of the site with nothing on it."""
    return render(request, "_base.html")


urlpatterns = [*site, path("empty/", empty)]


def best(client: Client, ask, times: int = 40) -> float:
    """The shortest of some requests, in seconds: what is left when nothing else runs."""
    spent = []
    for _ in range(times):
        begun = perf_counter()
        assert ask(client).status_code == 200
        spent.append(perf_counter() - begun)
    return min(spent)


@pytest.mark.django_db
@pytest.mark.urls("tests.bench.test_bench_instant_check")
def test_the_instant_check_against_an_empty_page(client, benchmark):
    """At most four times an empty page."""
    edition = EditionFactory(data=as_data(load_format(RULES)))
    entry = EntryFactory(division=edition.division)
    client.force_login(entry.rider.user)
    address, data = f"/riding/entries/{entry.pk}/plan/", fields(*RUN, bonus="Tantrum 3/5", action="")

    def check(client: Client) -> HttpResponse:
        return client.post(address, data, headers=HTMX)

    check(client)
    nothing = best(client, lambda client: client.get("/empty/"))
    whole = best(client, check)
    benchmark.extra_info |= {"empty_ms": nothing * 1000, "check_ms": whole * 1000}
    print(f"\nempty page {nothing * 1000:.1f} ms, check {whole * 1000:.1f} ms")
    benchmark.pedantic(check, args=(client,), rounds=10)

    assert whole <= 4 * nothing

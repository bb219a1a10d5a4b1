"""Limits on how often a form may be sent, so that nobody guesses passwords or floods a site.

    @limited("join", per_hour=60)
    def sign_up(request): ...

Counts live in the database: several workers share them and a restart does not forget them.
An hour begins at the first try. Whoever tries more often gets the page 429.html, which says
when to try again. `RATE_LIMITS=false` switches all limits off.
"""

import functools
import ipaddress
import unicodedata
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Case, F, Value, When
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from events.limit_models import Tally
from events.project.errors import too_often

HOUR = timedelta(hours=1)
ELSEWHERE = 10  # an account may be tried from all addresses together this many times as often
SWEEP = 200  # old tallies taken away at a time
Rule = tuple[str, int]  # the key of a tally and the tries it allows


def address_of(request: HttpRequest) -> str:
    """The visitor's address, by which tries are counted.

    Behind a proxy that we trust it is the last one in X-Forwarded-For, the only one that the
    proxy itself has written. The addresses of one IPv6 household count as one.
    """
    said = request.META.get("REMOTE_ADDR", "")
    if settings.TRUST_PROXY:
        said = request.META.get("HTTP_X_FORWARDED_FOR", said).rpartition(",")[2].strip()
    try:
        address = ipaddress.ip_address(said)
    except ValueError:
        return "unknown"
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped:
            return str(address.ipv4_mapped)
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)


def _key(*parts: str) -> str:
    return salted_hmac("events.limits", "\n".join(parts), algorithm="sha256").hexdigest()


def _rules(name: str, per_hour: int, who: str, account: str, per_account: int) -> list[Rule]:
    rules = [(_key(name, "address", who), per_hour)]
    if account:
        rules.append((_key(name, "both", who, account), per_account))
        rules.append((_key(name, "account", account), per_account * ELSEWHERE))
    return rules


def _count(key: str) -> tuple[int, datetime]:
    """Count one try; return the tries so far and when they are forgotten."""
    now = timezone.now()
    over = When(until__lte=now, then=Value(1))
    one_more = {
        "count": Case(over, default=F("count") + 1),
        "until": Case(When(until__lte=now, then=Value(now + HOUR)), default=F("until")),
    }
    tally = Tally.objects.filter(key=key)
    with transaction.atomic():
        if not tally.update(**one_more):
            Tally.objects.bulk_create(
                [Tally(key=key, count=0, until=now + HOUR)], ignore_conflicts=True
            )
            tally.update(**one_more)
            _sweep(now)
        found = tally.values_list("count", "until").first()
    return found or (1, now + HOUR)


def _sweep(now: datetime) -> None:
    """Take old tallies away, without waiting for those that another worker takes away."""
    skip = connection.features.has_select_for_update_skip_locked
    old = Tally.objects.select_for_update(skip_locked=skip).filter(until__lt=now - HOUR)
    Tally.objects.filter(pk__in=list(old.values_list("pk", flat=True)[:SWEEP])).delete()


def _take_back(keys: list[str]) -> None:
    for key in keys:
        Tally.objects.filter(key=key, count__gt=0).update(count=F("count") - 1)


def limited(
    name: str,
    *,
    per_hour: int,
    account: str = "",
    per_account: int = 10,
    failures_only: bool = False,
    methods: tuple[str, ...] = ("POST",),
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Let a view be used `per_hour` times an hour from one address, else answer 429.

    `account` names the field of the form that holds the account that is meant. It may then be
    tried `per_account` times an hour from one address, and ten times as often from all
    addresses together: guessing is stopped, yet a stranger cannot lock a rider out for good.
    With `failures_only` a try that is answered by a redirect, as after success, costs nothing.
    """

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @functools.wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if request.method not in methods or not settings.RATE_LIMITS:
                return view(request, *args, **kwargs)
            typed = request.POST.get(account, "") if account else ""
            meant = unicodedata.normalize("NFKC", typed).strip().casefold()
            rules = _rules(name, per_hour, address_of(request), meant, per_account)
            counted: list[str] = []
            for key, most in rules:
                count, until = _count(key)
                counted.append(key)
                if count > most:
                    return too_often(request, until)
            response = view(request, *args, **kwargs)
            if failures_only and 300 <= response.status_code < 400:
                _take_back(counted)
            return response

        return guarded

    return decorate

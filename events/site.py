"""Where the site is found, and what is done once a request has been answered."""

from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme

Work = Callable[[], Any]


class Visit:
    """One request while it is being answered, with what is to be done afterwards."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request
        self.later: list[Work] = []


_visit: ContextVar[Visit | None] = ContextVar("visit", default=None)


def absolute(path: str) -> str:
    """The whole address of a page: as the visitor reached the site, else under SITE_URL."""
    visit = _visit.get()
    if visit is not None:
        return visit.request.build_absolute_uri(path)
    return f"{settings.SITE_URL}{path}"


def is_ours(request: HttpRequest, address: str) -> bool:
    """Whether an address that somebody sent is one of this site, fit to be gone on to."""
    if not address.startswith(("/", "http://", "https://")):
        return False  # a word, which `redirect` would take for the name of a page
    return url_has_allowed_host_and_scheme(address, {request.get_host()}, request.is_secure())


def back_here(request: HttpRequest) -> str:
    """This page's address; for the answer to a sent form, the page that it was on."""
    if request.method in ("GET", "HEAD"):
        return request.get_full_path()
    came_from = request.META.get("HTTP_REFERER", "")
    return came_from if is_ours(request, came_from) else "/"


def go_back(request: HttpRequest) -> HttpResponseRedirect:
    """On to the page that a form names as `next`; to the first page where it names another
    site's."""
    asked = request.POST.get("next", "")
    return redirect(asked if is_ours(request, asked) else "home")


def after_answer(work: Work) -> None:
    """Do this once the visitor has the answer; at once where no request is being answered.

    The same work is done once per request. It must not raise.
    """
    visit = _visit.get()
    if visit is None:
        work()
    elif work not in visit.later:
        visit.later.append(work)


class SiteMiddleware:
    """Remembers the request while it is answered, and does afterwards what was put off.

    The server closes a response after it has been sent, so nobody waits for slow work, and
    how long a page takes does not tell whether a letter was written.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        visit = Visit(request)
        mark = _visit.set(visit)
        try:
            response = self.get_response(request)
        finally:
            _visit.reset(mark)
        if visit.later:
            _put_off(response, visit.later)
        return response


def _put_off(response: HttpResponseBase, works: list[Work]) -> None:
    close = response.close

    def close_then_work() -> None:
        close()
        while works:  # emptied, because a response may be closed twice
            works.pop(0)()

    response.close = close_then_work  # type: ignore[method-assign]

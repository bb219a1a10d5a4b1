"""Cookies that say what an account likes, written into the answer that signs somebody in."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

Write = Callable[[HttpResponseBase], None]


def at_sign_in(request: HttpRequest, write: Write) -> None:
    """Have `write` called with the answer to this request."""
    waiting: list[Write] = getattr(request, "account_cookies", [])
    request.account_cookies = [*waiting, write]  # type: ignore[attr-defined]


class AccountCookiesMiddleware:
    """Calls what `at_sign_in` was given."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        for write in getattr(request, "account_cookies", ()):
            write(response)
        return response

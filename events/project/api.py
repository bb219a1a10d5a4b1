"""The JSON interface as a whole. Its parts are named as strings: nothing here imports them.

It is read by scripts of other sites, without cookies and by everybody: what it tells stands on
public pages. What holds for all its answers, also for mistakes, is in `open_data.py`.
"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from ninja import NinjaAPI
from ninja.errors import ValidationError


class PublicAPI(NinjaAPI):
    """The interface, found where its description is."""

    def get_root_path(self, path_params: dict[str, Any]) -> str:
        """Where the interface is found, for its description."""
        return reverse("openapi-json").removesuffix("openapi.json")


api = PublicAPI(
    title="Buoyline",
    version="1",
    description="Contests, their rules, running orders, times and results, as the public pages "
    "show them. Declared runs are never told.",
    docs_url=None,  # it would load from another host
    openapi_url="openapi.json",
)


@api.exception_handler(ValidationError)
def not_understood(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """400, with the name of each value that is wrong and what it should be."""
    said = [
        f"{each['loc'][-1]}: {each['msg'][:1].lower()}{each['msg'][1:]}"
        for each in error.errors
    ]
    return api.create_response(request, {"detail": "; ".join(said) + "."}, status=400)


api.add_router("", "events.exchange.endpoints.router")
api.add_router("", "runsheets.public_data.router")
# Without the interface's own first page: /for-webmasters/ stands for it.
shown = [each for each in api.urls[0] if each.name != "api-root"]

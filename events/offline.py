"""Which pages a visitor's device may keep, and for whom.

A worker in the browser (`templates/offline/worker.js`) keeps pages that were visited, so that
rules and one's own runs can be read on a dock without reception. It keeps only what this
module marks, each page under the person for whom it was made, and empties that as soon as an
answer is for somebody else. Pages about other people are never marked.
"""

import hashlib
import json
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponseBase
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.crypto import salted_hmac
from django.utils.translation import get_language
from django.utils.translation import gettext as _

PERSON_HEADER = "Buoyline-Person"
KEEP_HEADER = "Buoyline-Keep"
NOBODY = "nobody"

# Public pages, by the name of their address, and those that show a rider nothing but their own.
PUBLIC = ("home", "event", "division", "times", "running-order", "trick-list")
OWN = ("riding-home", "dock", "plan", "receipt", "dock-card")
KEPT = frozenset((*PUBLIC, *OWN))
# The same for everybody, kept by any cache: no mark of a person may travel with them.
FOR_ANYBODY = ("event-box", "division-box")
# Leaving by one of these empties the cache before the answer is there.
WAYS_OUT = ("sign-out", "account-out", "account-links-end", "account-erase")

# What every page is drawn with; other files are kept once a page asks for them.
PARTS = (
    "buoyline/app.css", "buoyline/parts.css", "buoyline/offline.css", "buoyline/planner.css",
    "buoyline/pictures.css", "buoyline/app.js", "buoyline/offline.js", "buoyline/icon.svg",
    "django_htmx/htmx-2.min.js", "django_htmx/django-htmx.js",
    "fonts/heading-500.woff2", "fonts/heading-600.woff2", "fonts/heading-700.woff2",
)  # fmt: skip


def person_mark(user: AbstractBaseUser | AnonymousUser) -> str:
    """A name for the person's saved copies that tells nobody who it is."""
    if not user.is_authenticated:
        return NOBODY
    return salted_hmac("events.offline", str(user.pk)).hexdigest()[:20]


class KeepMiddleware:
    """Says with each page for whom it was made, and whether it may be kept."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        match = request.resolver_match
        keep = match is not None and match.url_name in KEPT and response.status_code == 200
        is_page = response.get("Content-Type", "").startswith("text/html")
        if match is not None and match.url_name in FOR_ANYBODY:
            return response
        if request.method == "GET" and (keep or is_page):
            response[PERSON_HEADER] = person_mark(request.user)
            if keep:
                response[KEEP_HEADER] = "yes"
        return response


def worker_text() -> str:
    """The worker with what it has to know of this site, and the reader's language."""
    start = {
        "language": get_language(),
        "offline": reverse("offline"),
        "out": [reverse(name) for name in WAYS_OUT],
        "static": settings.STATIC_URL,
        "parts": [address for name in PARTS if (address := _part(name))],
    }
    version = hashlib.sha256(json.dumps(start).encode()).hexdigest()[:12]
    told = json.dumps({"version": version, **start}, indent=2)
    return render_to_string("offline/worker.js", {"start": told})


def _part(name: str) -> str:
    """The address of a static file; nothing if it is not there, or not collected yet."""
    try:
        return static(name) if finders.find(name) else ""
    except ValueError:
        return ""


def manifest() -> dict[str, object]:
    """What a phone shows when the site is put on its home screen (W3C, Web App Manifest)."""
    return {
        "name": "Buoyline",
        "short_name": "Buoyline",
        "description": _("Rules, runs and times of boat wakeboard contests."),
        "id": reverse("home"),
        "start_url": reverse("home"),
        "scope": reverse("home"),
        "display": "standalone",
        "lang": "en-GB",
        "background_color": "#fbf9f4",
        "theme_color": "#0f1b2d",
        "icons": [
            _icon("icon-192.png", "192x192"),
            _icon("icon-512.png", "512x512"),
            _icon("icon-round-512.png", "512x512", "maskable"),
            _icon("icon.svg", "any"),
        ],
        "shortcuts": [
            {"name": _("My riding"), "url": reverse("riding-home")},
            {"name": _("For the dock"), "url": reverse("dock")},
        ],
    }


def _icon(name: str, sizes: str, purpose: str = "any") -> dict[str, str]:
    kind = "image/svg+xml" if name.endswith("svg") else "image/png"
    return {
        "src": static(f"buoyline/{name}"),
        "sizes": sizes,
        "type": kind,
        "purpose": purpose,
    }

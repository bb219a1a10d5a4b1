"""What a browser needs to keep pages and to put the site on a phone's home screen."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_safe

from events.offline import manifest, worker_text


@require_safe
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """The worker, at the root so that it serves the whole site."""
    return HttpResponse(worker_text(), "text/javascript; charset=utf-8")


@require_safe
@cache_control(max_age=3600)
def web_manifest(request: HttpRequest) -> HttpResponse:
    """The web app manifest."""
    return JsonResponse(manifest(), content_type="application/manifest+json")


@require_safe
@never_cache
def offline(request: HttpRequest) -> HttpResponse:
    """What is shown without reception in place of a page that is not kept."""
    return render(request, "offline/offline.html")

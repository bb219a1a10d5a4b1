"""A pack of papers that the worker makes: how far it is, and the PDF."""

from io import BytesIO

from django.contrib.auth.decorators import login_required
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from events.access import require_table
from runsheets.models import AskedPack
from runsheets.print_acts import again

SLOW_S = 60  # after which the page offers to make the pack without the worker


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def pack(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a pack is; asked by htmx, that alone. Sent, it is made at once."""
    packs = AskedPack.objects.select_related("event__club", "asked_by").defer("document")
    asked = get_object_or_404(packs, pk=pk)
    require_table(request.user, asked.event)
    if request.method == "POST":
        again(asked.pk)
        return redirect("table-pack", asked.pk)
    waited = (timezone.now() - asked.asked_at).total_seconds()
    context = {"event": asked.event, "asked": asked, "is_slow": waited > SLOW_S}
    page = "runsheets/_pack.html" if request.htmx else "runsheets/pack.html"
    return render(request, page, context)


@login_required
@require_safe
def pack_file(request: HttpRequest, pk: int) -> FileResponse:
    """The PDF of a pack; 404 before it is made."""
    asked = get_object_or_404(AskedPack.objects.select_related("event__club"), pk=pk)
    require_table(request.user, asked.event)
    if asked.document is None:
        raise Http404
    name = f"{slugify(f'{asked.event.name} papers {asked.size}')[:120]}.pdf"
    return FileResponse(
        BytesIO(bytes(asked.document)), filename=name, content_type="application/pdf"
    )

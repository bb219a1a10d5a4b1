"""The rider's dock card as PDF; only the rider's own."""

from io import BytesIO
from typing import NamedTuple

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from events.models import Edition
from events.rules.run import Run
from events.rules.subject import counted
from riders.models import Bib, Entry, PlannedRun, Rider
from riders.planner import Planner
from riders.planning.route import Foot, Side, plan_route
from riders.rows import sheet_from_data
from riders.services import declared_run, say_when
from riders.views.riding import rider_required
from runsheets.card import NOT_DECLARED, CardHead, DockCard, card_rows
from runsheets.pdf.dock_card import SHEETS, dock_card_pdf

NO_PAPER = "A dock card is printed on A6, A4 or Letter paper; choose one below."
TOO_MANY = "This plan has too many tricks for a card: take some rows out first."


class Shown(NamedTuple):
    """The run on a card, and what is said of it."""

    run: Run
    side: Side
    status: str
    notes: tuple[str, ...] = ()


@rider_required
@require_safe
def dock_card(request: HttpRequest, rider: Rider, entry_pk: int) -> HttpResponse:
    """The card of one entry in one round: the declared run in force, else the plan."""
    entries = Entry.objects.select_related("division__event", "rider")
    entry = get_object_or_404(entries, pk=entry_pk, rider=rider)
    edition = entry.division.edition
    paper = request.GET.get("paper", "a6").lower()
    if edition is None:
        return redirect("plan", entry.pk)
    if paper not in SHEETS:
        messages.error(request, NO_PAPER)
        return redirect("plan", entry.pk)
    names = edition.round_names or [""]
    asked = request.GET.get("round", "")
    round_name = asked if asked in names else names[0]
    shown = _shown(entry, edition, round_name)
    if shown is None:
        messages.error(request, TOO_MANY)
        return redirect("plan", entry.pk)
    card = _card(entry, edition, round_name, shown)
    data = dock_card_pdf(card, paper, fonts=settings.STATE_DIR / "fonts")
    words = slugify(f"{entry.division.event.name} {round_name} dock card {paper}")
    return FileResponse(
        BytesIO(data), filename=f"{words[:120]}.pdf", content_type="application/pdf"
    )


def _shown(entry: Entry, edition: Edition, round_name: str) -> Shown | None:
    """The declared run in force, else the plan; None for a plan that cannot be read."""
    kept = PlannedRun.objects.filter(entry=entry, round_name=round_name).first()
    sheet = sheet_from_data(kept.rows if kept else None)
    side = Side(sheet.side)
    declared = entry.declarations.filter(round_name=round_name).first()
    if declared is not None:
        status = f"Declared run {declared.number}"
        notes = ()
        if declared.edition_id != edition.pk:
            was = declared.edition.number
            notes = (f"Declared under edition {was} of the rules: check it again.",)
        return Shown(declared_run(declared), side, status, notes)
    planner = Planner(entry, edition, round_name, sheet)
    if planner.too_many:
        return None
    notes = ()
    if planner.unread:
        are = "is" if planner.unread == 1 else "are"
        notes = (f"{counted(planner.unread, 'row').capitalize()} cannot be read and "
                 f"{are} left out.",)  # fmt: skip
    return Shown(planner.run, side, NOT_DECLARED, notes)


def _card(entry: Entry, edition: Edition, round_name: str, shown: Shown) -> DockCard:
    division, event = entry.division, entry.division.event
    rules = edition.effective(round_name or None)
    bib = Bib.objects.filter(event=event, rider=entry.rider).first()
    head = CardHead(
        rider=entry.rider.name,
        event=event.name,
        division=division.name,
        round=round_name,
        status=shown.status,
        edition_no=edition.number,
        deadline=f"{say_when(division.deadline(round_name or None), event)}.",
        bib=str(bib.number) if bib else "",
        stance=entry.rider.get_foot_display(),
    )
    route = plan_route(shown.run, rules, Foot(entry.rider.foot), shown.side)
    return card_rows(route, rules, head, notes=shown.notes)

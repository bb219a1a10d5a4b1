"""The rider's dock card as PDF; only the rider's own."""

from collections.abc import Mapping
from dataclasses import replace
from io import BytesIO
from typing import NamedTuple

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_safe

from events.rules.answers_words import capital, number
from events.rules.run import Pass, PlannedTrick, Run
from riders.models import Bib
from riders.pictures.words import shorthand
from riders.planner import Planner
from riders.planning.backups import back_ups
from riders.services import declared_run, say_when, wording
from riders.suggestions import ground_of, known_tricks
from riders.views.lookup import OwnPlace, place_required
from riders.views.suggestions import planner_of
from runsheets.card import NOT_DECLARED, CardHead, DockCard, card_rows
from runsheets.pdf.dock_card import SHEETS, dock_card_pdf

NO_PAPER = gettext_lazy("A dock card is printed on A6, A4 or Letter paper; choose one below.")
TOO_MANY = gettext_lazy("This plan has too many tricks for a card: take some rows out first.")


class Shown(NamedTuple):
    """The run on a card, and what is said of it."""

    run: Run
    status: str
    notes: tuple[str, ...] = ()


@require_safe
@place_required
def dock_card(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """The card of one entry in one round: the declared run in force, else the plan."""
    paper = request.GET.get("paper", "a6").lower()
    if paper not in SHEETS:
        messages.error(request, NO_PAPER)
        return place.redirect("plan")
    planner = planner_of(place)
    shown = _shown(planner)
    if shown is None:
        messages.error(request, TOO_MANY)
        return place.redirect("plan")
    card = _card(planner, shown)
    data = dock_card_pdf(card, paper, fonts=settings.STATE_DIR / "fonts")
    event = place.entry.division.event
    words = slugify(f"{event.name} {place.round_name} dock card {paper}")
    return FileResponse(
        BytesIO(data),
        filename=f"{words[:120]}.pdf",
        content_type="application/pdf",
    )


def _shown(planner: Planner) -> Shown | None:
    """The declared run in force, else the plan; None for a plan that is not read."""
    declared = planner.entry.declarations.filter(round_name=planner.round_name).first()
    if declared is not None:
        notes: tuple[str, ...] = ()
        if declared.edition_id != planner.edition.pk:
            was = declared.edition.number
            notes = (
                _("Declared under edition {number} of the rules: check it again.").format(
                    number=was
                ),
            )
        return Shown(
            declared_run(declared),
            _("Declared run {number}").format(number=declared.number),
            notes,
        )
    if planner.too_many:
        return None
    unread = planner.unread
    left_out = ngettext(
        "{number} row cannot be read and is left out.",
        "{number} rows cannot be read and are left out.",
        unread,
    ).format(number=capital(number(unread)))
    return Shown(planner.run, NOT_DECLARED, (left_out,) if unread else ())


def _card(planner: Planner, shown: Shown) -> DockCard:
    entry, edition = planner.entry, planner.edition
    division, event = entry.division, entry.division.event
    bib = Bib.objects.filter(event=event, rider=entry.rider).first()
    deadline = division.deadline(planner.round_name or None)
    head = CardHead(
        rider=entry.rider.name,
        event=event.name,
        division=division.name,
        round=planner.round_name,
        status=shown.status,
        edition_no=edition.number,
        deadline=f"{say_when(deadline, event)}.",
        bib=str(bib.number) if bib else "",
        stance=entry.rider.get_foot_display(),
    )
    ground, known = ground_of(planner), known_tricks(planner)
    run = _with_chances(shown.run, {wording(trick): trick for trick in known})
    instead = {
        (each.place.pass_no, each.place.position): shorthand(each.trick)
        for each in back_ups(run, ground, known)
        if each.trick is not None
    }
    route = ground.route(run)
    return card_rows(route, planner.format, head, back_ups=instead, notes=shown.notes)


def _with_chances(run: Run, known: Mapping[str, PlannedTrick]) -> Run:
    """The run with the rider's records, which a declared run does not keep."""

    def filled(planned: PlannedTrick) -> PlannedTrick:
        record = known.get(wording(planned))
        if planned.likelihood is not None or record is None:
            return planned
        return replace(planned, landed=record.landed, tried=record.tried, chance=record.chance)

    return Run(
        tuple(
            Pass(tuple(map(filled, each.tricks)), tuple(map(filled, each.bonus)))
            for each in run.passes
        )
    )

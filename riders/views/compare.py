"""Plans beside each other, named variants of a plan, and copying to another entry."""

from collections.abc import Iterator

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from events.units import units_of
from riders.compare import change_of, choices_of, choose, compared, grade_lines
from riders.models import Entry, PlanVariant, Rider
from riders.rows import sheet_from_data
from riders.selectors import entries_of
from riders.share_forms import VariantForm
from riders.share_services import copy_plan, keep_variant, use_variant
from riders.views.lookup import OwnPlace, place_of, place_required, rider_entry
from riders.views.riding import rider_required


@rider_required
def compare(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Up to four of the rider's own plans side by side, and the list to choose from."""
    choices = choices_of(rider)
    asked = request.GET.getlist("plan")
    chosen, troubles = choose(choices, asked)
    for sentence in troubles:
        messages.error(request, sentence)
    plans = [compared(choice, units_of(request)) for choice in chosen]
    context = {
        "choices": choices,
        "asked": asked,
        "plans": plans,
        "grades": grade_lines(plans),
    }
    return render(request, "riders/compare.html", context)


@place_required
def variants(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """The named variants of a plan, and a form to keep the plan as one more."""
    form = VariantForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["name"]
        try:
            kept = keep_variant(entry=place.entry, round_name=place.round_name, name=name)
        except ValidationError as error:
            form.add_error("name", error)
        else:
            said = _("The plan is kept as the variant {variant}.")
            messages.success(request, said.format(variant=kept.name))
            return place.redirect("variants")
    context = {
        "form": form,
        "variants": sorted(place.entry.variants.all(), key=place.is_elsewhere),
        "plan": place.plan,
        "older": place.older_plans,
    }
    return render(request, "riders/compare_variants.html", {**place.context, **context})


@require_POST
@rider_required
def variant_use(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Make a variant the plan of the round in the address; the replaced plan is kept."""
    variant, place = _variant(request, rider, pk)
    kept = use_variant(variant=variant, round_name=place.round_name)
    said = _("{variant} is your plan now.").format(variant=variant.name)
    messages.success(request, f"{said} {_aside(kept)}".strip())
    return place.redirect("plan")


@require_POST
@rider_required
def variant_remove(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Remove a variant; the plan stays as it is."""
    variant, place = _variant(request, rider, pk)
    variant.delete()
    said = _("The variant {variant} is removed.").format(variant=variant.name)
    messages.success(request, said)
    return place.redirect("variants")


def _variant(request: HttpRequest, rider: Rider, pk: int) -> tuple[PlanVariant, OwnPlace]:
    found = PlanVariant.objects.select_related("entry__division__event")
    variant = get_object_or_404(found, pk=pk, entry__rider=rider)
    return variant, _place(variant.entry, request.GET.get("round"))


def _place(entry: Entry, asked: str | None) -> OwnPlace:
    edition = entry.division.edition
    if edition is None:
        raise Http404("No rules yet, so no plan.")
    return place_of(entry, edition, asked)


def _aside(kept: PlanVariant | None) -> str:
    if kept is None:
        return ""
    return _("The plan before it is kept as the variant {variant}.").format(variant=kept.name)


@place_required
def copy(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """Choose where to copy a plan; see what changes there for the run; copy it."""
    source = place.plan
    is_empty = source is None or not sheet_from_data(source.rows).size
    target = _target(request, place)
    if target is None or source is None or is_empty:
        context = {"targets": list(_targets(place)), "is_empty": is_empty}
        return render(request, "riders/copy_plan.html", {**place.context, **context})
    if request.method == "POST":
        try:
            kept = copy_plan(source=source, entry=target.entry, round_name=target.round_name)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return place.redirect("copy-plan")
        said = _("The plan is copied.")
        messages.success(request, f"{said} {_aside(kept)}".strip())
        return target.redirect("plan")
    plan_there = target.plan
    context = {
        "target": target,
        "target_division": target.entry.division,
        "change": change_of(
            source,
            place.edition,
            target.entry,
            target.edition,
            target.round_name,
            units_of(request),
        ),
        "replaces": plan_there is not None and sheet_from_data(plan_there.rows).size,
        "is_late": timezone.now() > target.entry.division.deadline(target.round_name or None),
    }
    return render(request, "riders/copy_plan_check.html", {**place.context, **context})


def _target(request: HttpRequest, place: OwnPlace) -> OwnPlace | None:
    asked = request.GET.get("to")
    if asked is None:
        return None
    if not (asked.isascii() and asked.isdigit() and len(asked) < 18):
        raise Http404("No such entry.")
    entry = rider_entry(place.entry.rider, int(asked))
    target = _place(entry, request.GET.get("to_round"))
    if target.is_of_old_rules or (target.entry.pk, target.round_name) == (
        place.entry.pk,
        place.round_name,
    ):
        raise Http404("The plan itself, or a round that is no more.")
    return target


def _targets(place: OwnPlace) -> Iterator[tuple[OwnPlace, str]]:
    """Every other entry and round of the rider with rules, and the address of its page."""
    for state in entries_of(place.entry.rider):
        edition = state.entry.division.edition
        for each in state.rounds if edition is not None else ():
            if (state.entry.pk, each.name) == (place.entry.pk, place.round_name):
                continue
            words = urlencode({"to": state.entry.pk, "to_round": each.name})
            address = f"{place.query}&{words}" if place.query else f"?{words}"
            yield OwnPlace(state.entry, edition, each.name), address

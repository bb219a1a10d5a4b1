"""Plans beside each other, named variants of a plan, and copying to another entry."""

from collections.abc import Iterator

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from riders.compare import change_of, choices_of, choose, compared, grade_lines
from riders.models import PlanVariant, Rider
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
    plans = [compared(choice) for choice in chosen]
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
            messages.success(request, f"The plan is kept as the variant {kept.name}.")
            return place.redirect("variants")
    kept_variants = place.entry.variants.filter(round_name=place.round_name)
    context = {"form": form, "variants": kept_variants, "plan": place.plan}
    return render(request, "riders/compare_variants.html", {**place.context, **context})


@require_POST
@rider_required
def variant_use(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Make a variant the plan; the replaced plan is kept as a variant."""
    variant = _variant(rider, pk)
    kept = use_variant(variant=variant)
    messages.success(request, f"{variant.name} is your plan now. {_aside(kept)}".strip())
    return redirect(_address("plan", variant))


@require_POST
@rider_required
def variant_remove(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Remove a variant; the plan stays as it is."""
    variant = _variant(rider, pk)
    variant.delete()
    messages.success(request, f"The variant {variant.name} is removed.")
    return redirect(_address("variants", variant))


def _variant(rider: Rider, pk: int) -> PlanVariant:
    return get_object_or_404(
        PlanVariant.objects.select_related("entry"), pk=pk, entry__rider=rider
    )


def _address(name: str, variant: PlanVariant) -> str:
    # A round that the rules name no longer has no page of its own.
    edition = variant.entry.division.edition
    known = edition is not None and variant.round_name in edition.round_names
    query = f"?{urlencode({'round': variant.round_name})}" if known else ""
    return f"{reverse(name, args=[variant.entry_id])}{query}"


def _aside(kept: PlanVariant | None) -> str:
    return f"The plan before it is kept as the variant {kept.name}." if kept else ""


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
        messages.success(request, f"The plan is copied. {_aside(kept)}".strip())
        return target.redirect("plan")
    plan_there = target.plan
    context = {
        "target": target,
        "target_division": target.entry.division,
        "change": change_of(
            source, place.edition, target.entry, target.edition, target.round_name
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
    edition = entry.division.edition
    if edition is None:
        raise Http404("No rules yet, so no plan.")
    target = place_of(entry, edition, request.GET.get("to_round"))
    if (target.entry.pk, target.round_name) == (place.entry.pk, place.round_name):
        raise Http404("The plan itself.")
    return target


def _targets(place: OwnPlace) -> Iterator[tuple[OwnPlace, str]]:
    """Every other entry and round of the rider with rules, and the address of its page."""
    for state in entries_of(place.entry.rider):
        edition = state.entry.division.edition
        for each in state.rounds if edition is not None else ():
            if (state.entry.pk, each.name) == (place.entry.pk, place.round_name):
                continue
            query = {"round": place.round_name, "to": state.entry.pk, "to_round": each.name}
            words = urlencode({k: v for k, v in query.items() if v != ""})
            yield OwnPlace(state.entry, edition, each.name), f"?{words}"

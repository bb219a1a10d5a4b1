"""Starting an event from an earlier year. Nothing is written before it was looked at."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.signing import BadSignature
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from events.earlier.forms import EarlierEventForm, EarlierFilesForm
from events.earlier.plan import NotThere, Plan, plan_of
from events.earlier.riders import EarlierRiders, earlier_riders
from events.earlier.taking import ShownOtherwise, take_over
from events.earlier.wishes import Wish, sealed, unsealed
from events.models import Club, Event
from events.views.lookup import organised_club

TOO_OLD = gettext_lazy("This preview is no longer valid, so nothing was made. Choose again.")
OTHERWISE = gettext_lazy(
    "Something changed since you looked, so nothing was made. This is how it stands now."
)
THERE = gettext_lazy("{event} has everything of it already; nothing was doubled.")


@never_cache
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def choose(request: HttpRequest, club: str) -> HttpResponse:
    """Choose an earlier event or its files, then see what would be made."""
    found = organised_club(request.user, club)
    by_event, by_files = _forms(request, found)
    if by_event.is_bound and by_event.is_valid():
        earlier = by_event.cleaned_data["earlier"]
        riders = earlier_riders(by_event.event, earlier=earlier)
        plan = plan_of(found, by_event.wish, earlier)
        return _preview(request, found, by_event.wish, plan, riders, by_event=by_event)
    if by_files.is_bound and by_files.is_valid():
        plan = plan_of(found, by_files.wish)
        riders = by_files.riders
        return _preview(request, found, by_files.wish, plan, riders, by_files=by_files)
    if not found.venues.exists():
        messages.warning(request, _("An event needs a venue: add the lake first."))
        return redirect("venue-new", club)
    has_events = found.events.exists()
    context = {
        "club": found,
        "by_event": by_event if has_events else None,
        "by_files": by_files,
    }
    return render(request, "events/earlier.html", context)


def _forms(request: HttpRequest, club: Club) -> tuple[EarlierEventForm, EarlierFilesForm]:
    """Both ways to choose; what was sent belongs to the one whose fields came with it."""
    sent = (request.POST, request.FILES)
    for_event, for_files = (
        sent if any(name.startswith(kind) for data in sent for name in data) else ()
        for kind in ("event-", "files-")
    )
    new = Event(club=club, time_zone=settings.TIME_ZONE)
    return (
        EarlierEventForm(*for_event, club=club, prefix="event"),
        EarlierFilesForm(*for_files, instance=new, prefix="files"),
    )


def _preview(
    request: HttpRequest,
    club: Club,
    wish: Wish,
    plan: Plan,
    riders: EarlierRiders,
    **form: EarlierEventForm | EarlierFilesForm,
) -> HttpResponse:
    """What would be made; the form that asked for it comes along, to ask otherwise."""
    context = {
        "club": club,
        "plan": plan,
        "riders": riders,
        "sealed": sealed(wish, plan.digest, club),
        **form,
    }
    return render(request, "events/earlier_preview.html", context)


@login_required
@require_POST
def confirm(request: HttpRequest, club: str) -> HttpResponse:
    """Make what was previewed, all or nothing."""
    found = organised_club(request.user, club)
    try:
        wish, shown = unsealed(request.POST.get("wish", ""), found)
        plan = take_over(club=found, wish=wish, shown=shown, by=request.user)
    except (BadSignature, NotThere):
        return _too_old(request, found)
    except ValidationError as error:
        messages.error(
            request, _("Nothing was made. {reasons}").format(reasons=" ".join(error.messages))
        )
        return redirect("event-from-earlier", club)
    except ShownOtherwise as changed:
        messages.warning(request, OTHERWISE)
        return _preview(request, found, wish, changed.plan, _riders_of(changed.plan))
    messages.success(request, _done(plan))
    return redirect("event-organise", plan.event.slug)


def _riders_of(plan: Plan) -> EarlierRiders:
    """Whom to invite; those of a file were shown once, and are not kept."""
    if plan.earlier is None:
        return EarlierRiders()
    return earlier_riders(plan.event, earlier=plan.earlier)


def _done(plan: Plan) -> str:
    made = len(plan.new_divisions)
    if not plan.does_something:
        return THERE.format(event=plan.event)
    return ngettext(
        "{event}: {made} division with drafts made. Go through each draft, then publish it.",
        "{event}: {made} divisions with drafts made. Go through each draft, then publish it.",
        made,
    ).format(event=plan.event, made=made)


def _too_old(request: HttpRequest, club: Club) -> HttpResponse:
    messages.error(request, TOO_OLD)
    return redirect("event-from-earlier", club.slug)

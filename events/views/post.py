"""The letters of a club: what was sent, what failed, what is to be passed on by hand."""

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from events.models import Club, Letter
from events.post import address_now, send_again
from events.post_models import HIDDEN
from events.post_reading import hand_on, letters_for, mail_link, may_show_key, reveal
from events.services import record
from events.views.lookup import organised_club

ON_A_PAGE = 50
State = Letter.State


class LetterFilter(forms.Form):
    """Which letters to list."""

    state = forms.ChoiceField(label=gettext_lazy("What became of it"), required=False)
    event = forms.ChoiceField(label=gettext_lazy("Event"), required=False)
    mark_required = True

    def __init__(self, data: object, *, club: Club) -> None:
        super().__init__(data)  # type: ignore[arg-type]
        self.fields["state"].choices = [("", _("all letters")), *State.choices]
        events = [(event.slug, event.name) for event in club.events.all()]
        self.fields["event"].choices = [("", _("all events")), *events]


@login_required
@require_safe
def outbox(request: HttpRequest, club: str) -> HttpResponse:
    """The letters of a club, the newest first."""
    found = organised_club(request.user, club)
    form = LetterFilter(request.GET or None, club=found)
    letters = letters_for(found)
    counts = dict(letters.order_by().values_list("state").annotate(Count("pk")))
    asked = form.cleaned_data if form.is_valid() else {}
    if asked.get("state"):
        letters = letters.filter(state=asked["state"])
    if asked.get("event"):
        letters = letters.filter(event__slug=asked["event"])
    listed = letters.select_related("event").defer("text")
    page = Paginator(listed, ON_A_PAGE).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "club": found,
        "form": form,
        "page": page,
        "query": query.urlencode(),
        "is_sent": settings.POST_IS_SENT,
        "failed": counts.get(State.FAILED, 0),
        "kept": counts.get(State.KEPT, 0),
        "waiting": counts.get(State.WAITING, 0),
    }
    return render(request, "events/post.html", context)


@never_cache
@login_required
def letter(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """One letter. A link in it that signs somebody in is shown after pressing a button."""
    found = organised_club(request.user, club)
    letters = letters_for(found).select_related("event", "person")
    each = get_object_or_404(letters, pk=pk)
    may_show = may_show_key(each)
    shown = request.method == "POST" and may_show
    text = each.text_without_key.replace(HIDDEN, _(HIDDEN))
    if shown:
        text = reveal(letter=each, club=found, by=request.user)
    context = {
        "club": found,
        "letter": each,
        "event": each.event,
        "text": text,
        "mail_link": mail_link(each, text) if shown or not each.has_key else "",
        "may_show": may_show and not shown,
        "is_sent": settings.POST_IS_SENT,
        "address": address_now(each),
        "can_hand_on": each.state in (State.KEPT, State.FAILED),
    }
    return render(request, "events/post_letter.html", context)


@login_required
@require_POST
def again(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Send a letter once more, or note that it was passed on by hand."""
    found = organised_club(request.user, club)
    each = get_object_or_404(letters_for(found).select_related("event", "person"), pk=pk)
    if "by-hand" in request.POST:
        hand_on(letter=each, club=found, by=request.user)
        messages.success(request, _("It is noted that you passed this letter on."))
    elif not settings.POST_IS_SENT:
        messages.error(request, _("This site has no mail server: pass the letter on by hand."))
    else:
        _send_again(request, found, each)
    return redirect("letter", club, pk)


def _send_again(request: HttpRequest, club: Club, each: Letter) -> None:
    try:
        send_again(each)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return
    what = _("Had the letter “{subject}” to {to} sent again.").format(
        subject=each.subject, to=each.to
    )
    record(club=club, event=each.event, by=request.user, what=what)
    messages.success(request, _("The letter is on its way again. Look here in a minute."))

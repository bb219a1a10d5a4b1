"""The trick vocabulary, listed and filtered."""

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from events.forms.made_tricks import ClubTrickForm
from events.made_tricks import vocabulary_with
from events.models import Club, ClubTrick
from events.rules.trick import Direction, Edge, Family, Trick
from events.services import add_club_trick, remove_club_trick
from events.value_words import choices_in_words
from events.views.lookup import organised_club

ANY = ("", gettext_lazy("any"))


class TrickFilter(forms.Form):
    """Which tricks to list; everything is optional."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        required=False,
        max_length=60,
        help_text=gettext_lazy("A part of it is enough."),
    )
    family = forms.ChoiceField(
        label=gettext_lazy("Family"), required=False, choices=[ANY, *choices_in_words(Family)]
    )
    approach = forms.ChoiceField(
        label=gettext_lazy("Approach"), required=False, choices=[ANY, *choices_in_words(Edge)]
    )
    invert = forms.ChoiceField(
        label=gettext_lazy("Invert"),
        required=False,
        choices=[ANY, ("yes", gettext_lazy("inverts")), ("no", gettext_lazy("no inverts"))],
    )
    rotation = forms.TypedChoiceField(
        label=gettext_lazy("Rotation"),
        required=False,
        coerce=int,
        empty_value=None,
        choices=[ANY, *((turn, f"{turn}°") for turn in range(0, 1261, 180))],
    )
    direction = forms.ChoiceField(
        label=gettext_lazy("Direction"),
        required=False,
        choices=[ANY, *choices_in_words(Direction)],
    )
    mark_required = True

    def keeps(self, trick: Trick) -> bool:
        """Whether the trick is asked for."""
        asked = self.cleaned_data
        names = " ".join((trick.name, *trick.aliases)).casefold()
        return all(
            (
                asked.get("name", "").casefold() in names,
                asked.get("family", "") in ("", trick.family),
                asked.get("approach", "") in ("", trick.approach),
                asked.get("invert", "") in ("", "yes" if trick.invert else "no"),
                asked.get("rotation") in (None, trick.rotation),
                asked.get("direction", "") in ("", trick.direction),
            )
        )


def trick_list(request: HttpRequest) -> HttpResponse:
    """Every trick that is known by name, or those asked for; `club` adds a club's own."""
    form = TrickFilter(request.GET or None)
    club = Club.objects.filter(slug=request.GET.get("club", "")[:60]).first()
    tricks = vocabulary_with(club.tricks.all() if club else ()).tricks
    kept = [trick for trick in tricks if form.keeps(trick)] if form.is_valid() else tricks
    clubs = Club.objects.filter(tricks__isnull=False).distinct()
    context = {
        "form": form,
        "tricks": kept,
        "all": len(tricks),
        "club": club,
        "clubs": clubs,
        "added_by_club": str(ClubTrick.maker),
    }
    return render(request, "events/tricks.html", context)


@login_required
def club_tricks(request: HttpRequest, club: str) -> HttpResponse:
    """The tricks that a club added, and a form for another one."""
    found = organised_club(request.user, club)
    form = ClubTrickForm(request.POST or None, club=found)
    if request.method == "POST" and form.is_valid():
        trick = add_club_trick(trick=form.instance, by=request.user)
        messages.success(
            request, _("{name} can be planned at your events now.").format(name=trick.name)
        )
        return redirect("club-tricks", club)
    context = {"club": found, "form": form, "tricks": found.tricks.all()}
    return render(request, "events/club_tricks.html", context)


@login_required
@require_POST
def club_trick_remove(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Take a trick off the club's list."""
    found = organised_club(request.user, club)
    trick = get_object_or_404(found.tricks, pk=pk)
    remove_club_trick(trick=trick, by=request.user)
    messages.success(
        request, _("{name} is removed. Declared runs keep it.").format(name=trick.name)
    )
    return redirect("club-tricks", club)

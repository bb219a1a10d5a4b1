"""The trick vocabulary, listed and filtered."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from events.rules.trick import Direction, Edge, Family, Trick
from events.rules.vocabulary import standard_vocabulary

ANY = ("", "any")


class TrickFilter(forms.Form):
    """Which tricks to list; everything is optional."""

    name = forms.CharField(required=False, max_length=60, help_text="A part of it is enough.")
    family = forms.ChoiceField(required=False, choices=[ANY, *((f, f) for f in Family)])
    approach = forms.ChoiceField(required=False, choices=[ANY, *((e, e) for e in Edge)])
    invert = forms.ChoiceField(
        required=False, choices=[ANY, ("yes", "inverts"), ("no", "no inverts")]
    )
    rotation = forms.TypedChoiceField(
        required=False,
        coerce=int,
        empty_value=None,
        choices=[ANY, *((turn, f"{turn}°") for turn in range(0, 1261, 180))],
    )
    direction = forms.ChoiceField(required=False, choices=[ANY, *((d, d) for d in Direction)])
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
    """Every trick that is known by name, or those asked for."""
    form = TrickFilter(request.GET or None)
    tricks = standard_vocabulary().tricks
    kept = [trick for trick in tricks if form.keeps(trick)] if form.is_valid() else tricks
    context = {"form": form, "tricks": kept, "all": len(tricks)}
    return render(request, "events/tricks.html", context)

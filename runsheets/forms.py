"""What the table types: how to make a running order, and bibs."""

import re
import secrets
from collections import defaultdict
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Layout
from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Event
from events.rules.words import RidingOrder
from riders.models import Entry, Rider
from runsheets.lineup import bibs_of
from runsheets.models import RunningOrder
from runsheets.starting.heats import Spread

HIGHEST_BIB = 9999
NO_RANKS = gettext_lazy(
    "No entry has a rank yet: write ranks on the entries first, or choose another order."
)
SEED_LONGEST = 60
METHODS = {
    RidingOrder.RANDOM: gettext_lazy("Random, by lot from the draw word below"),
    RidingOrder.RANKING: gettext_lazy("By the ranking on the entries, best last"),
    RidingOrder.REVERSE: gettext_lazy("Reverse of the last round: the best there rides last"),
    RidingOrder.ALPHABETICAL: gettext_lazy("Alphabetical, by family name"),
    RidingOrder.BY_HAND: gettext_lazy("By hand: as it stands now, then moved rider by rider"),
}
SPREADS = {
    Spread.IN_ORDER: gettext_lazy("Cut from the riding order, one heat after the other"),
    Spread.SERPENTINE: gettext_lazy(
        "Spread by rank: the best to heat 1, the next to heat 2, and back again"
    ),
}


class OrderForm(forms.Form):
    """How to make a running order and its heats."""

    method = forms.TypedChoiceField(
        label=gettext_lazy("Order"),
        coerce=RidingOrder,
        choices=[(each.value, words) for each, words in METHODS.items()],
        widget=forms.RadioSelect,
    )
    seed = forms.CharField(
        label=gettext_lazy("Draw word"),
        required=False,
        max_length=SEED_LONGEST,
        help_text=gettext_lazy(
            "Only for a random order. The same word and riders always give the "
            "same order, so announce it before you draw. Any words or numbers will "
            "do."
        ),
        error_messages={
            "max_length": format_lazy(
                gettext_lazy("A draw word has at most {most} characters."), most=SEED_LONGEST
            )
        },
    )
    spread = forms.TypedChoiceField(
        label=gettext_lazy("Heats"),
        required=False,
        choices=[(each.value, words) for each, words in SPREADS.items()],
        coerce=Spread,
        empty_value=Spread.IN_ORDER,
        initial=Spread.IN_ORDER,
        widget=forms.RadioSelect,
        help_text=gettext_lazy("Spreading by rank is for an order by ranking."),
    )

    def __init__(
        self,
        *args: Any,
        order: RunningOrder | None,
        stated: RidingOrder | None,
        riders: list[Entry] | None = None,
        riding: list[int] | None = None,
        ranked: bool = False,
        placed: bool = False,
        **kwargs: Any,
    ) -> None:
        """`stated` is the format's own order. `riders` are offered to tick in later rounds.

        `ranked`: at least one entry has a rank. `placed`: the last round has a posted result,
        without which its reverse is not offered.
        """
        super().__init__(*args, **kwargs)
        self.ranked = ranked
        self.mark_required = True  # the seed is needed for one order only
        made = order.method.partition(",")[0] if order else None
        wanted = made or stated or RidingOrder.RANDOM
        methods = {k: v for k, v in METHODS.items() if placed or k != RidingOrder.REVERSE}
        self.fields["method"].choices = [(each.value, words) for each, words in methods.items()]
        known = RidingOrder(wanted) if wanted in methods else RidingOrder.BY_HAND
        self.fields["method"].initial = known.value
        drawn = order.seed if order else ""
        self.fields["seed"].initial = drawn or f"{secrets.randbelow(10**6):06}"
        if riders is not None:
            self.fields["riders"] = forms.TypedMultipleChoiceField(
                label=_("Who rides in this round"),
                choices=[(str(entry.pk), entry.rider.name) for entry in riders],
                coerce=int,
                initial=[str(pk) for pk in riding or [entry.pk for entry in riders]],
                widget=forms.CheckboxSelectMultiple,
                error_messages={"required": _("Tick at least one rider.")},
            )

    def clean(self) -> dict[str, Any]:
        """A random order needs a seed, an order by ranking needs ranks."""
        data = super().clean() or {}
        if data.get("method") == RidingOrder.RANKING and not self.ranked:
            self.add_error("method", NO_RANKS)
        by_rank = data.get("method") in (RidingOrder.RANKING, RidingOrder.REVERSE)
        if data.get("spread") is Spread.SERPENTINE and not by_rank:
            self.add_error("spread", _("Only an order by ranking can be spread by rank."))
        is_random = data.get("method") == RidingOrder.RANDOM
        if is_random and not data.get("seed") and "seed" not in self.errors:
            self.add_error("seed", _("Write a draw word: any words or numbers will do."))
        return data


class BibField(forms.CharField):
    """A bib number, or nothing. Text is kept as typed, so that it can be put right."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric", "size": 5}))
        super().__init__(required=False, show_hidden_initial=True, **kwargs)

    def clean(self, value: Any) -> int | None:
        """The number, or None for no bib."""
        text = super().clean(value)
        if not text:
            return None
        if not re.fullmatch(r"[0-9]+", text):
            raise forms.ValidationError(_("Write digits only, such as 12, or leave it empty."))
        if len(text) > 6 or not 1 <= int(text) <= HIGHEST_BIB:
            raise forms.ValidationError(
                _("Use a number from 1 to {most}.").format(most=HIGHEST_BIB)
            )
        return int(text)


class BibsForm(forms.Form):
    """The bibs of all riders of an event, one field each."""

    def __init__(self, *args: Any, event: Event, riders: list[Rider], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.riders = {self.field_name(rider.pk): rider for rider in riders}
        self.held = bibs_of(event)
        for name, rider in self.riders.items():
            held = self.held.get(rider.pk)
            self.fields[name] = BibField(
                label=rider.name, initial="" if held is None else str(held)
            )
        self.mark_required = True  # none is, so that no label says "optional"
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(Div(*self.riders, css_class="grid"))

    @staticmethod
    def field_name(rider_pk: int) -> str:
        """The name of a rider's field."""
        return f"bib-{rider_pk}"

    @property
    def numbers(self) -> dict[int, int | None]:
        """What was changed here, by the rider's number; other changes are left alone."""
        return {
            self.riders[name].pk: self.cleaned_data[name]
            for name in self.changed_data
            if name in self.cleaned_data
        }

    def clean(self) -> dict[str, Any]:
        """No two riders with the same number."""
        data = super().clean() or {}
        wearers: dict[int, list[str]] = defaultdict(list)
        for name, rider in self.riders.items():
            number = data.get(name) if name in self.changed_data else self.held.get(rider.pk)
            if number is not None:
                wearers[number].append(name)
        for number, names in wearers.items():
            for name in names if len(names) > 1 else ():
                others = " and ".join(self.riders[each].name for each in names if each != name)
                self.add_error(
                    name,
                    _("Bib {number} is given to {others} too.").format(
                        number=number, others=others
                    ),
                )
        return data

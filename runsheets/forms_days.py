"""What the table types about a day: its hours, its breaks, and how long things take."""

from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.meanwhile import MeanwhileForm
from events.models import Event
from runsheets.models import DayPlan
from runsheets.schedule import PACE_FIELDS
from runsheets.timing.timetable import SPECS, Pace

BREAKS = range(1, 5)
LONGEST_BREAK = 600
# What is taken where the organiser has measured nothing.
USUAL = {name: f"{getattr(Pace(), name):g} {SPECS[name].unit}".strip() for name in PACE_FIELDS}
USUAL["falls_expected"] = gettext_lazy("half of the falls that the rules allow a rider to have")
KEPT_IF_EMPTY = ("heat_gap_min", "fuel_min", "rest_heats")
CLOCK = gettext_lazy("Write a time such as 09:30.")


class ClockInput(forms.TimeInput):
    """A picker of a time of day."""

    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


def _clock(label: str, help_text: str = "", required: bool = False) -> forms.TimeField:
    return forms.TimeField(
        label=label,
        required=required,
        widget=ClockInput(),
        help_text=help_text,
        error_messages={"invalid": CLOCK, "required": CLOCK},
    )


def _whole(label: str, most: int, help_text: str = "", unit: str = "min") -> forms.IntegerField:
    wrong = _("Write a whole number from 0 to {most}.").format(most=most)
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=most,
        help_text=help_text,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wrong),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5, "data-unit": unit}),
    )


class DayForm(MeanwhileForm, forms.ModelForm):
    """A day on the water. Times are those of the lake."""

    starts_at = _clock(gettext_lazy("First rider starts"), required=True)
    latest_end = _clock(
        gettext_lazy("Riding must end by"),
        gettext_lazy("Such as when the lake closes to boats."),
    )
    sunrise = _clock(
        gettext_lazy("Sunrise"),
        gettext_lazy("Nobody is towed from sunset to sunrise; local law decides."),
    )
    sunset = _clock(
        gettext_lazy("Sunset"), gettext_lazy("You are warned if the day would end after it.")
    )
    heat_gap_min = _whole(gettext_lazy("Between two heats"), 120)
    fuel_min = _whole(gettext_lazy("Fuel takes"), 240)
    rest_heats = _whole(
        gettext_lazy("Heats between two of one rider"),
        20,
        gettext_lazy("For riders in two divisions."),
        "heats",
    )

    class Meta:
        model = DayPlan
        fields = [
            "day", "starts_at", "latest_end", "sunrise", "sunset", "heat_gap_min",
            "fuel_every_h", "fuel_min", "rest_heats",
        ]  # fmt: skip
        labels = {"fuel_every_h": gettext_lazy("Fuel every")}
        widgets = {
            "fuel_every_h": forms.TextInput(
                attrs={"inputmode": "decimal", "size": 5, "data-unit": "h"}
            )
        }

    def __init__(self, *args: Any, event: Event, days: list[date], **kwargs: Any) -> None:
        """`days` are those that can be chosen."""
        super().__init__(*args, **kwargs)
        self.instance.event = event
        self.mark_required = True
        self.fields["day"] = forms.TypedChoiceField(
            label=_("Day"),
            choices=[(each.isoformat(), date_format(each, _("l j F Y"))) for each in days],
            coerce=date.fromisoformat,
        )
        fuel = self.fields["fuel_every_h"]
        fuel.min_value, fuel.help_text = 0, _("Hours of riding on one tank; empty: no stops.")
        self._add_breaks()
        self._add_figures()
        self.helper = self._helper()

    def _add_breaks(self) -> None:
        held = self.instance.breaks or []
        for n in BREAKS:
            kept = held[n - 1] if n <= len(held) else {}
            self.fields[f"break{n}_name"] = forms.CharField(
                label=_("Break {number}").format(number=n),
                required=False,
                max_length=60,
                initial=kept.get("name", ""),
            )
            self.fields[f"break{n}_at"] = _clock("At")
            self.fields[f"break{n}_minutes"] = _whole(_("Takes"), LONGEST_BREAK)
            self.initial.setdefault(f"break{n}_at", kept.get("at"))
            self.initial.setdefault(f"break{n}_minutes", kept.get("minutes"))

    def _add_figures(self) -> None:
        held = self.instance.pace or {}
        for name in PACE_FIELDS:
            spec = SPECS[name]
            usual = USUAL[name]
            bounds = _("Write a number from {least} to {most}.").format(
                least=f"{spec.least:g}", most=f"{spec.most:g}"
            )
            self.fields[name] = forms.FloatField(
                label=spec.label,
                required=False,
                min_value=spec.least,
                max_value=spec.most,
                initial=held.get(name),
                help_text=_("{help} Empty: {usual}.").format(help=spec.help, usual=usual),
                error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), bounds),
                widget=forms.TextInput(
                    attrs={"inputmode": "decimal", "size": 6, "data-unit": spec.unit}
                ),
            )

    def _helper(self) -> FormHelper:
        made = FormHelper()
        made.form_tag = False
        made.disable_csrf = True
        made.render_hidden_fields = True
        breaks = [
            Div(
                f"break{n}_name",
                f"break{n}_at",
                f"break{n}_minutes",
                css_class="grid",
            )
            for n in BREAKS
        ]
        made.layout = Layout(
            Div("day", "starts_at", "latest_end", "sunrise", "sunset", css_class="grid"),
            Div("heat_gap_min", "rest_heats", "fuel_every_h", "fuel_min", css_class="grid"),
            Fieldset(_("Breaks"), *breaks),
            Fieldset(_("How long riding takes"), Div(*PACE_FIELDS, css_class="grid")),
        )
        return made

    def lock(self) -> bool:
        """The event first, as for everything that moves heats on its days."""
        Event.objects.select_for_update().get(pk=self.instance.event_id)
        return super().lock()

    def stored(self) -> dict[str, Any]:
        """Breaks and figures too, by the fields that show them."""
        held = self.instance.breaks or []
        breaks = {
            f"break{n}_{key}": held[n - 1].get(key) if n <= len(held) else None
            for n in BREAKS
            for key in ("name", "at", "minutes")
        }
        pace = self.instance.pace or {}
        return super().stored() | breaks | {name: pace.get(name) for name in PACE_FIELDS}

    def clean(self) -> dict[str, Any]:
        """The hours make sense, and breaks and figures are kept as data."""
        data: dict[str, Any] = super().clean() or {}
        starts = data.get("starts_at")
        for name in ("latest_end", "sunset"):
            if starts and data.get(name) and data[name] <= starts:
                self.add_error(name, _("This lies before the first rider starts."))
        sunrise, sunset = data.get("sunrise"), data.get("sunset")
        if sunrise and sunset and sunset <= sunrise:
            self.add_error("sunset", _("Sunset lies before sunrise; check both."))
        for name in KEPT_IF_EMPTY:
            if name in data and data[name] is None:
                data[name] = DayPlan._meta.get_field(name).default
        every = data.get("fuel_every_h")
        if every is not None and every <= 0:
            self.add_error("fuel_every_h", _("Write hours of more than 0, such as 2.5."))
        self.instance.breaks = self._breaks(data)
        self.instance.pace = {
            name: data[name] for name in PACE_FIELDS if data.get(name) is not None
        }
        return data

    def _breaks(self, data: dict[str, Any]) -> list[dict[str, Any]]:
        kept = []
        for n in BREAKS:
            name, at, minutes = (data.get(f"break{n}_{k}") for k in ("name", "at", "minutes"))
            if not any((name, at, minutes)):
                continue
            for key, value, wrong in (
                ("name", name, _("Say what the break is, such as lunch.")),
                ("at", at, _("Say when it is.")),
                ("minutes", minutes, _("Say how many minutes it takes.")),
            ):
                if not value and f"break{n}_{key}" not in self.errors:
                    self.add_error(f"break{n}_{key}", wrong)
            if name and at and minutes:
                kept.append({"name": name, "at": f"{at:%H:%M}", "minutes": minutes})
        return sorted(kept, key=lambda each: each["at"])

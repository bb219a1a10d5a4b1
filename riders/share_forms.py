"""Forms of shared plans and variants."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from riders.forms import helper
from riders.models import Entry

YEARS_MOST = 2


class ShareForm(forms.Form):
    """Make a link to a plan."""

    expires_on = forms.DateField(
        label=gettext_lazy("Last day"),
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text=gettext_lazy(
            "The link works to the end of this day at the lake. Empty: until you stop."
        ),
        error_messages={
            "invalid": gettext_lazy("Write the day as year-month-day, such as 2031-07-14.")
        },
    )

    def __init__(self, *args: Any, entry: Entry, label: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry = entry
        self.helper = helper(label)

    def clean_expires_on(self) -> date | None:
        """A day that is not over yet, and not so far off that it is a slip."""
        day: date | None = self.cleaned_data["expires_on"]
        if day is None:
            return None
        today = timezone.localdate(timezone=self.entry.division.event.zone)
        if day < today:
            raise ValidationError(_("This day is over: choose today or a later day."))
        if day > today + timedelta(days=366 * YEARS_MOST):
            raise ValidationError(
                _("Choose a day within the next two years, or leave the field empty.")
            )
        return day


class VariantForm(forms.Form):
    """Keep the plan under a name."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=80,
        help_text=gettext_lazy("Such as safe, or with the double-up."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Give the variant a name.")},
    )

    helper = helper(gettext_lazy("Keep as variant"))

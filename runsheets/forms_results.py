"""What the table types about results: reasons, protests, rulings, and who goes on."""

from typing import Any

from django import forms

from riders.models import Entry


class ReasonForm(forms.Form):
    """The reason for an act; needed for some."""

    reason = forms.CharField(
        label="Reason",
        required=False,
        max_length=150,
        help_text="It goes into the audit trail.",
        error_messages={"max_length": "A reason has at most 150 characters."},
    )
    mark_required = True


class ProtestForm(forms.Form):
    """A protest: of whom, and about what."""

    rider = forms.ChoiceField(label="Protest of", choices=[])
    about = forms.CharField(
        label="What it is about",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write what the protest is about."},
    )

    def __init__(self, *args: Any, entries: list[Entry], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entries = {str(entry.pk): entry for entry in entries}
        rider = self.fields["rider"]
        assert isinstance(rider, forms.ChoiceField)
        rider.choices = [
            ("", "Choose a rider"),
            *((pk, entry.rider.name) for pk, entry in self.entries.items()),
        ]
        rider.error_messages["required"] = "Choose the rider who protests."

    @property
    def entry(self) -> Entry:
        """The entry of the rider who protests."""
        return self.entries[self.cleaned_data["rider"]]


class RulingForm(forms.Form):
    """What was ruled on a protest."""

    protest = forms.IntegerField(widget=forms.HiddenInput)
    ruling = forms.CharField(
        label="Ruling",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Write what was ruled."},
    )

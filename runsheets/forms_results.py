"""What the table types about results: reasons, protests, rulings, and who goes on."""

from collections.abc import Mapping, Sequence
from typing import Any, Self

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from riders.models import Entry


class ReasonForm(forms.Form):
    """The reason for an act; needed for some."""

    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        required=False,
        max_length=150,
        help_text=gettext_lazy("It goes into the audit trail."),
        error_messages={"max_length": gettext_lazy("A reason has at most 150 characters.")},
    )
    mark_required = True


class ProtestForm(forms.Form):
    """A protest: of whom, and about what."""

    rider = forms.ChoiceField(label=gettext_lazy("Protest of"), choices=[])
    about = forms.CharField(
        label=gettext_lazy("What it is about"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": gettext_lazy("Write what the protest is about.")},
    )

    def __init__(self, *args: Any, entries: list[Entry], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entries = {str(entry.pk): entry for entry in entries}
        rider = self.fields["rider"]
        assert isinstance(rider, forms.ChoiceField)
        rider.choices = [
            ("", _("Choose a rider")),
            *((pk, entry.rider.name) for pk, entry in self.entries.items()),
        ]
        rider.error_messages["required"] = _("Choose the rider who protests.")

    @property
    def entry(self) -> Entry:
        """The entry of the rider who protests."""
        return self.entries[self.cleaned_data["rider"]]


class RulingForm(forms.Form):
    """What was ruled on a protest."""

    protest = forms.IntegerField(widget=forms.HiddenInput)
    ruling = forms.CharField(
        label=gettext_lazy("Ruling"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Write what was ruled.")},
    )


class TieForm(forms.Form):
    """How people parted a tie: a number for each rider, and a sentence."""

    how = forms.CharField(
        label=gettext_lazy("How it was decided"),
        max_length=150,
        help_text=gettext_lazy(
            "Such as: Ride-off at 14:20, one trick each. Everybody sees it."
        ),
        error_messages={"required": gettext_lazy("Write how it was decided.")},
    )

    def __init__(self, *args: Any, tie: Sequence[Entry], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tie = tie
        for entry in tie:
            wrong = _("Write a number from 1 to {most}; 1 is ahead.").format(most=len(tie))
            names = ("required", "invalid", "min_value", "max_value")
            self.fields[f"ahead-{entry.pk}"] = forms.IntegerField(
                label=entry.rider.name,
                min_value=1,
                max_value=len(tie),
                error_messages=dict.fromkeys(names, wrong),
            )
        self.order_fields([f"ahead-{entry.pk}" for entry in tie])

    @classmethod
    def sent(cls, data: Mapping[str, Any] | None, ties: Sequence[Sequence[Entry]]) -> Self:
        """The form of the tie that was sent; without a tie, one that asks for nothing more."""
        asked = (data or {}).get("tie", "")
        tie = next((each for each in ties if cls.key_of(each) == asked), ())
        return cls(data, tie=tie, auto_id=f"tie-{asked}-%s")

    @classmethod
    def all_of(cls, ties: Sequence[Sequence[Entry]], sent: forms.Form) -> list[Self]:
        """A form for each tie; the one that was sent keeps what was typed."""
        found = []
        for tie in ties:
            if isinstance(sent, cls) and sent.is_bound and list(sent.tie) == list(tie):
                found.append(sent)
            else:
                found.append(cls(tie=tie, auto_id=f"tie-{cls.key_of(tie)}-%s"))
        return found

    @staticmethod
    def key_of(tie: Sequence[Entry]) -> str:
        """The riders of a tie as one word."""
        return "-".join(str(entry.pk) for entry in tie)

    @property
    def key(self) -> str:
        """The riders of this tie as one word."""
        return self.key_of(self.tie)

    @property
    def ahead(self) -> dict[int, int]:
        """The number of each rider, by entry."""
        return {entry.pk: self.cleaned_data[f"ahead-{entry.pk}"] for entry in self.tie}

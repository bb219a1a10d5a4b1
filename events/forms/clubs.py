"""Forms for clubs, their people and their venues."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.validators import validate_email
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper
from events.forms.meanwhile import MeanwhileForm
from events.forms.sign_in import plain_user_name
from events.models import Club, Event, Official, Venue


class ClubForm(forms.ModelForm):
    """A new club."""

    class Meta:
        model = Club
        fields = ["name"]
        labels = {"name": gettext_lazy("Name")}
        error_messages = {
            "name": {
                "unique": gettext_lazy(
                    "There is a club of this name: ask its organisers to add you."
                )
            }
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].help_text = _("As riders know it. You become its organiser.")
        self.helper = helper(_("Make the club"))


class VenueForm(MeanwhileForm, forms.ModelForm):
    """A lake with its course, of one club."""

    class Meta:
        model = Venue
        fields = ["name", "course_m", "direction", "start_dock", "notes"]
        labels = {
            "name": gettext_lazy("Name"),
            "direction": gettext_lazy("Direction"),
            "start_dock": gettext_lazy("Start dock"),
            "notes": gettext_lazy("Notes"),
        }
        widgets = {
            "course_m": forms.TextInput(attrs={"inputmode": "numeric", "data-unit": "m"}),
            "notes": forms.Textarea(attrs={"rows": 4}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(_("Save the venue"))

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        others = Venue.objects.filter(club=self.instance.club).exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError(_("The club has a venue of this name already."))
        return name


class OfficialForm(forms.Form):
    """A role in the club for a user name, or an invitation to it for an address.

    Once valid, `user` is who gets the role at once; None where an address is invited.
    """

    username = forms.CharField(
        label=gettext_lazy("E-mail or user name"),
        max_length=150,
        help_text=gettext_lazy(
            "An address gets a letter with an invitation, whether or not it has an "
            "account here."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    role = forms.ChoiceField(
        label=gettext_lazy("Role"), choices=Official.Role.choices, initial=Official.Role.TABLE
    )
    event = forms.ModelChoiceField(
        Event.objects.none(),
        label=gettext_lazy("For"),
        required=False,
        empty_label=gettext_lazy("the whole club"),
    )
    mark_required = True

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.club = club
        self.user: User | None = None
        self.fields["event"].queryset = club.events.order_by("-first_day", "name")
        self.helper = helper(_("Give this role"))

    def clean_username(self) -> str:
        """A user name that exists, or something that is an address."""
        name = plain_user_name(self.cleaned_data["username"].strip())
        if "@" in name:
            validate_email(name)
            return name
        self.user = User.objects.filter(username=name, is_active=True).first()
        if self.user is None:
            raise forms.ValidationError(
                _(
                    "Nobody has this user name: check its spelling, or write the person’s "
                    "e-mail address to invite them."
                )
            )
        return name

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if self.errors:
            return data
        where = {"club": self.club, "event": data["event"], "role": data["role"]}
        name = data["username"]
        who = {"user": self.user} if self.user else {"user__email__iexact": name}
        if Official.objects.filter(**where, **who).exists():
            self.add_error("role", _("This person has the role already."))
        return data

"""Forms for clubs, their people and their venues."""

from typing import Any

from django import forms
from django.contrib.auth.models import User

from events.forms.layout import helper
from events.forms.sign_in import plain_user_name
from events.models import Club, Official, Venue


class ClubForm(forms.ModelForm):
    """A new club."""

    class Meta:
        model = Club
        fields = ["name"]
        error_messages = {
            "name": {"unique": "There is a club of this name: ask its organisers to add you."}
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].help_text = "As riders know it. You become its organiser."
        self.helper = helper("Make the club")


class VenueForm(forms.ModelForm):
    """A lake with its course, of one club."""

    class Meta:
        model = Venue
        fields = ["name", "course_m", "direction", "start_dock", "notes"]
        widgets = {
            "course_m": forms.TextInput(attrs={"inputmode": "numeric", "data-unit": "m"}),
            "notes": forms.Textarea(attrs={"rows": 4}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper("Save the venue")

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        others = Venue.objects.filter(club=self.instance.club).exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError("The club has a venue of this name already.")
        return name


class OfficialForm(forms.Form):
    """A role in the club for somebody who has an account."""

    username = forms.CharField(
        label="E-mail or user name",
        max_length=150,
        help_text="Of an account that exists; a person without one makes it first.",
    )
    role = forms.ChoiceField(choices=Official.Role.choices, initial=Official.Role.TABLE)

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.club = club
        self.helper = helper("Add")

    def clean_username(self) -> User:
        name = plain_user_name(self.cleaned_data["username"])
        user = User.objects.filter(username=name).first()
        if user is None:
            raise forms.ValidationError(
                "Nobody has this user name: check its spelling, or ask the person to sign up."
            )
        return user

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        user, role = data.get("username"), data.get("role")
        held = Official.objects.filter(club=self.club, user=user, role=role)
        if user and role and held.exists():
            self.add_error("role", "This person has the role already.")
        return data

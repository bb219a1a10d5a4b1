"""The form of a trick made by its attributes."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from events.forms.layout import helper
from events.made_tricks import MadeTrick
from events.models import Club, ClubTrick
from events.rules.notation import NotationError, read_trick
from events.rules.vocabulary import VocabularyError, standard_vocabulary

FIELDS = [
    "name", "family", "approach", "takeoff", "rotation", "direction",
    "invert", "handle_pass", "blind", "tier",
]  # fmt: skip
HELP = {
    "name": "A short name, without commas.",
    "approach": "The edge of the cut towards the wake.",
    "invert": "The board goes over the head.",
    "direction": "The first turn of the body.",
    "handle_pass": "The handle is passed behind the back.",
    "blind": "Landed looking away from the boat.",
}


class MadeTrickForm(forms.ModelForm):
    """A trick by its attributes, with a name that a run can be read with.

    `others` are the tricks of the same list, whose names are taken.
    """

    def __init__(self, *args: Any, others: Iterable[MadeTrick], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.taken = {each.name.casefold() for each in others if each.pk != self.instance.pk}

    def clean_name(self) -> str:
        """A name that can stand in a run's line and is not taken."""
        name: str = " ".join(self.cleaned_data["name"].split())
        if any(sign in name for sign in ",|+:;/%"):
            raise ValidationError(
                "Leave out the signs , | + : ; / and %: they mean something in a run."
            )
        if standard_vocabulary().find(name):
            raise ValidationError(f"The vocabulary has a trick called {name} already.")
        if name.casefold() in self.taken:
            raise ValidationError(f"There is a trick called {name} in this list already.")
        return name

    def clean_rotation(self) -> int:
        """Turns come in halves."""
        rotation: int = self.cleaned_data["rotation"]
        if rotation % 180 or rotation > 1800:
            raise ValidationError("Write the turn in steps of 180 degrees, at most 1800.")
        return rotation

    def clean(self) -> dict[str, Any]:
        """A turn has a direction, and the name must be readable in a run."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        turn, direction = data.get("rotation"), data.get("direction")
        if turn and direction == "none":
            self.add_error("direction", f"A turn of {turn} degrees has a direction.")
        if turn == 0 and direction not in (None, "none"):
            self.add_error("direction", "Without a turn there is no direction: choose none.")
        if not self.errors:
            self._check_readable(data)
        return data

    def _check_readable(self, data: dict[str, Any]) -> None:
        made: MadeTrick = self._meta.model(pk=0, **data)
        trick = made.trick
        try:
            read = read_trick(trick.name, standard_vocabulary().with_tricks([trick]))
        except (VocabularyError, NotationError) as error:
            self.add_error("name", f"A run could not be read with this name. {error}")
            return
        if read.entry != trick:
            self.add_error("name", f"This name means {read.trick.name} already.")


class ClubTrickForm(MadeTrickForm):
    """A trick that every rider of a club's events can plan."""

    class Meta:
        model = ClubTrick
        fields = FIELDS
        help_texts = HELP

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, others=club.tricks.all(), **kwargs)
        self.instance.club = club
        self.helper = helper("Add this trick")

"""The form of a trick made by its attributes."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper
from events.made_tricks import MadeTrick
from events.models import Club, ClubTrick
from events.rules.notation import NotationError, read_trick
from events.rules.vocabulary import VocabularyError, standard_vocabulary

FIELDS = [
    "name", "family", "approach", "takeoff", "rotation", "direction",
    "invert", "handle_pass", "blind", "tier",
]  # fmt: skip
LABELS = {
    "name": gettext_lazy("Name"),
    "family": gettext_lazy("Family"),
    "approach": gettext_lazy("Approach"),
    "takeoff": gettext_lazy("Takeoff"),
    "rotation": gettext_lazy("Rotation"),
    "direction": gettext_lazy("Direction"),
    "invert": gettext_lazy("Invert"),
    "handle_pass": gettext_lazy("Handle pass"),
}
HELP = {
    "name": gettext_lazy("A short name, without commas."),
    "approach": gettext_lazy("The edge of the cut towards the wake."),
    "invert": gettext_lazy("The board goes over the head."),
    "direction": gettext_lazy("The first turn of the body."),
    "handle_pass": gettext_lazy("The handle is passed behind the back."),
    "blind": gettext_lazy("Landed looking away from the boat."),
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
                _("Leave out the signs , | + : ; / and %: they mean something in a run.")
            )
        if standard_vocabulary().find(name):
            raise ValidationError(
                _("The vocabulary has a trick called {name} already.").format(name=name)
            )
        if name.casefold() in self.taken:
            raise ValidationError(
                _("There is a trick called {name} in this list already.").format(name=name)
            )
        return name

    def clean_rotation(self) -> int:
        """Turns come in halves."""
        rotation: int = self.cleaned_data["rotation"]
        if rotation % 180 or rotation > 1800:
            raise ValidationError(_("Write the turn in steps of 180 degrees, at most 1800."))
        return rotation

    def clean(self) -> dict[str, Any]:
        """A turn has a direction, and the name must be readable in a run."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        turn, direction = data.get("rotation"), data.get("direction")
        if turn and direction == "none":
            self.add_error(
                "direction", _("A turn of {turn} degrees has a direction.").format(turn=turn)
            )
        if turn == 0 and direction not in (None, "none"):
            self.add_error("direction", _("Without a turn there is no direction: choose none."))
        if not self.errors:
            self._check_readable(data)
        return data

    def _check_readable(self, data: dict[str, Any]) -> None:
        made: MadeTrick = self._meta.model(pk=0, **data)
        trick = made.trick
        try:
            read = read_trick(trick.name, standard_vocabulary().with_tricks([trick]))
        except (VocabularyError, NotationError) as error:
            self.add_error(
                "name", _("A run could not be read with this name. {error}").format(error=error)
            )
            return
        if read.entry != trick:
            self.add_error(
                "name", _("This name means {name} already.").format(name=read.trick.name)
            )


class ClubTrickForm(MadeTrickForm):
    """A trick that every rider of a club's events can plan."""

    class Meta:
        model = ClubTrick
        fields = FIELDS
        help_texts = HELP
        labels = LABELS

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, others=club.tricks.all(), **kwargs)
        self.instance.club = club
        self.helper = helper(_("Add this trick"))

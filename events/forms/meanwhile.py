"""Edit forms that notice when somebody else saved the same record meanwhile.

The form carries a stamp of every stored value that it showed. Saving locks the record and
compares: where a value was changed by somebody else, and not to what is typed here, nothing
is saved, each such field says what it holds now, and the form comes back as typed with new
stamps. Pressing the button again is then a decision.
"""

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.stamps import stamp

MEANWHILE = gettext_lazy(
    "Somebody else saved this meanwhile, so nothing of yours is saved yet. "
    "Everything that you typed is still here: save again to put it in "
    "place of theirs, or take theirs over first."
)
CHANGED = gettext_lazy("Somebody else changed this meanwhile to “{value}”.")
EMPTIED = gettext_lazy("Somebody else emptied this meanwhile.")
GONE = gettext_lazy("Somebody else removed this meanwhile, so it can no longer be saved.")
SEEN = "seen"

Kept = TypeVar("Kept")


class MeanwhileForm(forms.BaseForm):
    """What an edit form of one record adds to a form class; it goes first among its bases.

    `instance` is the record; a new one, without a key, has no stamps and is simply saved.
    """

    instance: Any

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self._is_kept:
            self.fields[SEEN] = forms.CharField(
                required=False, widget=forms.HiddenInput(), label=_("What was shown")
            )

    @property
    def _is_kept(self) -> bool:
        return self.instance is not None and self.instance.pk is not None

    def get_initial_for_field(self, field: forms.Field, field_name: str) -> Any:
        """The stamps are taken when the form is shown, with all that it shows by then."""
        if field_name == SEEN:
            return _stamps(self.stored())
        return super().get_initial_for_field(field, field_name)

    def stored(self) -> dict[str, Any]:
        """What the record holds, by the name of the field that shows it."""
        named = {each.name: each for each in self.instance._meta.concrete_fields}
        return {
            name: named[name].value_from_object(self.instance)
            for name in self.fields
            if name in named
        }

    def typed(self) -> dict[str, Any]:
        """What saving would store, as `stored` tells it. A model form has put it in place."""
        return self.stored()

    def in_words(self, name: str, value: Any) -> str:
        """A stored value as the page says it."""
        field = self.fields[name]
        if isinstance(field, forms.ModelChoiceField):
            chosen = field.queryset.filter(pk=value).first()
            return "" if chosen is None else field.label_from_instance(chosen)
        if isinstance(field, forms.ChoiceField):
            return str(dict(field.choices).get(value, value))
        if isinstance(value, bool):
            return _("yes") if value else _("no")
        return _plain(value)

    def saved(self, save: Callable[[], Kept]) -> Kept | None:
        """Do `save` if the form was sent, holds together, and loses nothing of somebody else's.

        All in one transaction with the record locked. Returns what `save` gave back; None
        where nothing was saved, and the form tells why. What `save` itself refuses with a
        ValidationError is told too.
        """
        if not self.is_bound:
            return None
        try:
            with transaction.atomic():
                return self._saved(save)
        except ValidationError as error:
            for message in error.messages:
                self.add_error(None, message)
        return None

    def _saved(self, save: Callable[[], Kept]) -> Kept | None:
        if not self.lock():
            self.add_error(None, GONE)
            return None
        held = self.stored() if self._is_kept else {}
        if not self.is_valid():
            return None
        changed = self._changed(held)
        if changed:
            self._tell(held, changed)
            return None
        self.cleaned_data.pop(SEEN, None)
        return save()

    def lock(self) -> bool:
        """Lock the record and read it afresh, before anything typed is put into it.

        False where it is gone. What others lock before the record is locked before it here.
        """
        if not self._is_kept:
            return True
        rows = type(self.instance)._base_manager.select_for_update()
        try:
            self.instance.refresh_from_db(from_queryset=rows)
        except ObjectDoesNotExist:
            return False
        return True

    def _changed(self, held: dict[str, Any]) -> list[str]:
        """The fields that somebody else changed since they were shown, to something else."""
        seen = _seen(self.cleaned_data.get(SEEN, ""))
        typed = self.typed()
        return [
            name
            for name, value in held.items()
            if seen.get(name, _short(value)) != _short(value) and typed.get(name) != value
        ]

    def _tell(self, held: dict[str, Any], changed: list[str]) -> None:
        self.add_error(None, MEANWHILE)
        for name in changed:
            words = self.in_words(name, held[name])
            self.add_error(name, CHANGED.format(value=words) if words else EMPTIED)
        self.data = self.data.copy()
        self.data[self.add_prefix(SEEN)] = _stamps(held)


def _short(value: Any) -> str:
    return stamp(value)[:8]


def _stamps(held: dict[str, Any]) -> str:
    return " ".join(f"{name}:{_short(value)}" for name, value in held.items())


def _seen(stamps: str) -> dict[str, str]:
    """Stamps by field. A field without one, as in a page of old, is not looked at."""
    pairs = (each.partition(":") for each in stamps.split())
    return {name: stamped for name, _value, stamped in pairs}


def _plain(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return date_format(value, _("j F Y, H:i"))
    if isinstance(value, date):
        return date_format(value, _("j F Y"))
    if isinstance(value, time):
        return f"{value:%H:%M}"
    return str(value)

"""The forms of a format: one for each group, and one for each entry of a list."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.format_fields import MORE, fields_for
from events.rules.riding import DoubleUp, Limit
from events.rules.schema import Spec, key_of
from events.rules.staging import Round

ROWS_MOST = 60
NOT_STATED, NONE, LISTED = "", "none", "listed"

# What most organisers fill in; the other values of an entry wait under "More".
BASIC = {
    Limit: {"say", "most", "least", "per", "when-invert", "when-family", "when-direction",
            "when-rotation_over"},
    DoubleUp: {"name", "after_pass", "condition", "cutoff_m", "optional"},
    Round: {"name", "kind", "heat_size", "advance", "order", "run"},
}  # fmt: skip

Path = tuple[str, ...]


class GroupForm(forms.Form):
    """The plain values of one group, or of one entry of a list."""

    mark_required = True  # nothing is required, so nothing is marked

    def __init__(
        self, cls: type, path: tuple[str | int, ...], data: Any = None, stated: Any = None
    ) -> None:
        self.cls = cls
        self.path = path
        prefix = "-".join(map(str, path)) or None
        super().__init__(data, prefix=prefix, initial=_spread(stated or {}))
        self.fields.update(fields_for(cls))

    def as_data(self) -> dict[str, Any]:
        """What is stated, as data of the TOML form."""
        self.errors  # noqa: B018  (cleans the fields)
        data: dict[str, Any] = {}
        for name, value in self.cleaned_data.items():
            if value is None:
                continue
            if name == MORE:
                data.setdefault("when", {}).update(value)
            elif name.startswith("when-"):
                data.setdefault("when", {})[name.removeprefix("when-")] = value
            else:
                data[name] = value
        return data

    def place(self, rest: tuple[str | int, ...], message: str) -> None:
        """Put a fault beside the field at the end of `rest`, or above the row's fields."""
        for length in range(len(rest), 0, -1):
            name = "-".join(map(str, rest[:length]))
            if name in self.fields:
                self.add_error(name, message)
                return
        if rest[:1] == ("when",) and len(rest) > 1:
            self.add_error(MORE, message)
        else:
            self.add_error(None, message)

    @property
    def basic(self) -> list[forms.BoundField]:
        """The fields that are always in sight."""
        names = BASIC.get(self.cls, set(self.fields))
        return [self[name] for name in self.fields if name in names]

    @property
    def rare(self) -> list[forms.BoundField]:
        """The fields under "More"."""
        names = BASIC.get(self.cls, set(self.fields))
        return [self[name] for name in self.fields if name not in names]

    @property
    def rare_is_used(self) -> bool:
        """Whether something under "More" is stated or wrong."""
        return any(field.value() or field.errors for field in self.rare)


class Stated(forms.Form):
    """Whether a list is stated at all."""

    stated = forms.CharField(
        required=False,
        widget=forms.Select(
            choices=[
                (NOT_STATED, gettext_lazy("not stated")),
                (NONE, gettext_lazy("stated: none")),
                (LISTED, gettext_lazy("as listed below")),
            ]
        ),
    )
    mark_required = True


class Rows:
    """A list of a format: not stated, stated to be none, or its entries."""

    def __init__(self, spec: Spec, path: Path, data: Any = None, stated: Any = None) -> None:
        self.spec = spec
        self.path = path
        self.prefix = "-".join(path)
        self.errors: list[str] = []
        self.touched = False  # a button of this list was pressed
        self.grown = False  # and it added a row
        self.kept: list[GroupForm] = []
        choice = NOT_STATED if stated is None else LISTED if stated else NONE
        self.choice = Stated(data, prefix=self.prefix, initial={"stated": choice})
        self.choice.fields["stated"].label = _("{label}: stated?").format(label=spec.label)
        asked = len(stated or ()) if data is None else _count(data, self.prefix)
        self.too_many = asked > ROWS_MOST
        shown = [stated[n] if data is None else None for n in range(min(asked, ROWS_MOST))]
        self.forms = [
            GroupForm(spec.item, (*path, number), data, entry)
            for number, entry in enumerate(shown)
        ]

    @property
    def is_stated(self) -> bool:
        """Whether the list says something, be it that there is none."""
        return bool(self.forms) or self.choice["stated"].value() in (NONE, LISTED)

    def as_data(self) -> list[dict[str, Any]] | None:
        """The entries that say something; faults of the list as a whole go to `errors`."""
        self.errors = []
        said = self.choice["stated"].value()
        said = said if said in (NONE, LISTED) else NOT_STATED
        rows = [(form, form.as_data()) for form in self.forms]
        self.kept = [form for form, data in rows if data]
        entries = [data for _row, data in rows if data]
        if self.too_many:
            self.errors.append(
                _("At most {number} rows fit here; the others were not read.").format(
                    number=ROWS_MOST
                )
            )
        if entries and said != LISTED:
            self.errors.append(
                _("There are entries: choose “as listed below”, or remove them.")
            )
        if said == LISTED and not entries:
            self.errors.append(_("Add an entry, or choose “not stated” or “stated: none”."))
        return entries if entries or said != NOT_STATED else None

    def place(self, rest: tuple[str | int, ...], message: str) -> None:
        """Put a fault beside the entry it belongs to, or above the list."""
        if rest and isinstance(rest[0], int) and rest[0] < len(self.kept):
            self.kept[rest[0]].place(rest[1:], message)
        else:
            self.errors.append(message)


def moved(data: MultiValueDict, spec: Spec, path: Path) -> MultiValueDict | None:
    """What was typed, with the row added, removed or moved that a button asked for.

    None where no button of this list was pressed.
    """
    prefix = "-".join(path)
    action, _dash, number = (data.get(f"{prefix}-row") or "").partition("-")
    if not action:
        return None
    order: list[int | None] = list(range(min(_count(data, prefix), ROWS_MOST)))
    at = int(number) - 1 if number.isdecimal() and len(number) < 4 else -1
    if action == "add" and len(order) < ROWS_MOST:
        order.append(None)
    elif 0 <= at < len(order):
        row = order.pop(at)
        if action == "up":
            order.insert(max(at - 1, 0), row)
        elif action == "down":
            order.insert(at + 1, row)
        elif action != "remove":
            order.insert(at, row)
    return _renumbered(data, spec, prefix, order)


def _renumbered(
    data: MultiValueDict, spec: Spec, prefix: str, order: list[int | None]
) -> MultiValueDict:
    old: dict[str, dict[str, list[Any]]] = {}
    new = MultiValueDict()
    for key in data:
        number, _dash, name = key.removeprefix(f"{prefix}-").partition("-")
        if key.startswith(f"{prefix}-") and number.isdecimal():
            old.setdefault(number, {})[name] = data.getlist(key)
        elif key != f"{prefix}-row":
            new.setlist(key, data.getlist(key))
    for place, number in enumerate(order):
        row = _defaults(spec.item) if number is None else old.get(str(number), {})
        for name, values in row.items():
            new.setlist(f"{prefix}-{place}-{name}", values)
    new[f"{prefix}-count"] = str(len(order))
    if None in order:
        new[f"{prefix}-stated"] = LISTED
    elif not order and new.get(f"{prefix}-stated") == LISTED:
        new[f"{prefix}-stated"] = NOT_STATED
    return new


def _defaults(cls: type) -> dict[str, list[Any]]:
    return {key_of(each): [each.default] for each in fields(cls) if each.default is not None}


def _count(data: Any, prefix: str) -> int:
    text = data.get(f"{prefix}-count") or "0"
    if not (text.isascii() and text.isdigit()):
        return 0
    return int(text[:6])


def _spread(stated: Mapping[str, Any]) -> dict[str, Any]:
    """The data of a group by the names of its form's fields."""
    flat = dict(stated)
    when = flat.pop("when", None)
    if isinstance(when, Mapping):
        flat |= {f"when-{key}": value for key, value in when.items()}
        more = {key: when[key] for key in ("any_of", "unless") if key in when}
        if more:
            flat[MORE] = more
    return flat

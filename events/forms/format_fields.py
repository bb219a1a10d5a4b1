"""Form fields built from the descriptions of a format's values.

A field turns what was typed into the data of the TOML form and leaves judging it to the
reader of formats, so that a value is checked, and its fault worded, in one place.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import tomli_w
from django import forms
from django.utils.translation import gettext as _

from events.rules.schema import Kind, Spec, spec_of
from events.rules.toml_faults import not_toml
from events.rules.units import DIMENSIONS
from events.value_words import choices_in_words

MORE = "when-more"
MORE_KEYS = ("any_of", "unless")
_PLAIN_NUMBER = re.compile(r"-?\d{1,12}([.,]\d{1,9})?")
_NAIVE = {
    Kind.MOMENT: ("datetime-local", re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?")),
    Kind.DAY: ("date", re.compile(r"\d{4}-\d\d-\d\d")),
}
_EXAMPLES = {"speed": "36 km/h", "length": "20 m", "mass": "180 kg"}


def number_or_text(text: str) -> int | float | str:
    """The number that was typed, with a point or a comma; else the text as it is."""
    if not _PLAIN_NUMBER.fullmatch(text):
        return text
    number = float(text.replace(",", "."))
    return int(number) if number == int(number) else number


class When(forms.TextInput):
    """A date picker, or a line of text where what was typed is not a plain date."""

    def __init__(self, kind: Kind) -> None:
        super().__init__()
        self.kind = kind

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        picker, pattern = _NAIVE[self.kind]
        plain = not value or pattern.fullmatch(str(value))
        context["widget"]["type"] = picker if plain else "text"
        return context


class ValueField(forms.CharField):
    """One value. Cleans to data of the TOML form, and to None where nothing is stated."""

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        super().__init__(
            required=False, label=spec.label, help_text=_help(spec), widget=_widget(spec)
        )

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        return _read(self.spec.kind, text) if text else None

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list | tuple):
            if self.spec.kind is Kind.NUMBERS:
                return ", ".join(str(each) for each in value)
            return "\n".join(str(each) for each in value) or "none"
        return value


class SeveralField(forms.Field):
    """Some words of an enumeration, as check boxes."""

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        widget = forms.CheckboxSelectMultiple(choices=choices_in_words(spec.choices))
        super().__init__(required=False, label=spec.label, help_text=spec.help, widget=widget)

    def to_python(self, value: Any) -> Any:
        return list(value) or None if isinstance(value, list | tuple) else None


class MoreField(forms.CharField):
    """The parts of a condition that have no boxes of their own, as TOML."""

    def __init__(self) -> None:
        super().__init__(
            required=False,
            label=_("Further conditions"),
            help_text=_(
                "As TOML: any_of = [{ invert = true }, { rotation_over = 360 }] means "
                'one of these; unless = { family = ["surface"] } leaves some out.'
            ),
            widget=forms.Textarea(attrs={"rows": 2, "spellcheck": "false"}),
            max_length=4000,
        )

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        return read_toml(text, MORE_KEYS) if text else None

    def prepare_value(self, value: Any) -> Any:
        return tomli_w.dumps(value).strip() if isinstance(value, Mapping) else value


def read_toml(text: str, keys: tuple[str, ...]) -> dict[str, Any]:
    """The tables of some TOML that may hold these keys alone; raises ValidationError."""
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise forms.ValidationError(not_toml(error)) from error
    wrong = [key for key in data if key not in keys]
    if wrong:
        allowed = " and ".join(keys)
        raise forms.ValidationError(
            _("Only {allowed} can stand here, not {word}.").format(
                allowed=allowed, word=wrong[0]
            )
        )
    return data


def fields_for(cls: type) -> dict[str, forms.Field]:
    """A form field for each plain value of a group, by its key; conditions are spread out."""
    found: dict[str, forms.Field] = {}
    for each in fields(cls):
        if "spec" not in each.metadata:
            continue
        spec = spec_of(each)
        key = spec.key or each.name
        if spec.kind is Kind.CONDITION:
            inner = fields_for(spec.item)
            found |= {f"{key}-{name}": field for name, field in inner.items()}
            found[MORE] = MoreField()
        elif spec.kind not in (Kind.GROUP, Kind.LIST):
            found[key] = SeveralField(spec) if spec.kind is Kind.CHOICES else ValueField(spec)
    return found


def _read(kind: Kind, text: str) -> Any:
    match kind:
        case Kind.WHOLE | Kind.NUMBER:
            return number_or_text(text)
        case Kind.NUMBERS:
            parts = [part.strip() for part in re.split(r"[,;]", text) if part.strip()]
            numbers = [number_or_text(part) for part in parts[:13]]
            return numbers[0] if len(numbers) == 1 else numbers or text
        case Kind.YES_NO:
            return {"yes": True, "no": False}.get(text, text)
        case Kind.TEXTS:
            names = [line.strip() for line in text.splitlines() if line.strip()]
            return [] if names == ["none"] else names
        case _:
            return text


def _help(spec: Spec) -> str:
    match spec.kind:
        case Kind.AMOUNT:
            units = " or ".join(DIMENSIONS[spec.dimension])
            return _("{help} With its unit ({units}), such as {example}.").format(
                help=spec.help, units=units, example=_EXAMPLES[spec.dimension]
            )
        case Kind.NUMBERS:
            return _("{help} Such as 400, or 400, 380.").format(help=spec.help)
        case Kind.TEXTS:
            return _("{help} One on each line.").format(help=spec.help)
        case _:
            return spec.help


def _widget(spec: Spec) -> forms.Widget:
    match spec.kind:
        case Kind.YES_NO:
            answers = [("", _("not stated")), ("yes", _("yes")), ("no", _("no"))]
            return forms.Select(choices=answers)
        case Kind.CHOICE:
            return forms.Select(
                choices=[("", _("not stated")), *choices_in_words(spec.choices)]
            )
        case Kind.TEXTS:
            return forms.Textarea(attrs={"rows": 2})
        case Kind.MOMENT | Kind.DAY:
            return When(spec.kind)
    attrs = {"autocomplete": "off"}
    if spec.kind in (Kind.WHOLE, Kind.NUMBER):
        attrs["inputmode"] = "numeric" if spec.kind is Kind.WHOLE else "decimal"
    if spec.unit:
        attrs["data-unit"] = _(spec.unit)
    return forms.TextInput(attrs=attrs)

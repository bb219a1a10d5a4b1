"""The format editor: every group of a format as forms, built from its description."""

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from typing import Any

import tomli_w
from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.faults import Fault, faults_of
from events.forms.format_fields import read_toml
from events.forms.format_rows import GroupForm, Path, Rows, moved
from events.rules.format import Format
from events.rules.loading import as_data, try_format
from events.rules.reading import Problem
from events.rules.schema import Kind, Spec, key_of, spec_of
from events.services import clashes

OVERRIDES_MOST = 60
EXAMPLE = """\
[[overrides]]
when = { round = "final" }
set = { falls = { allowed = 2 } }"""


class OverridesForm(forms.Form):
    """The exceptions of a format, as TOML."""

    overrides = forms.CharField(
        required=False,
        max_length=40_000,
        label=gettext_lazy("Exceptions, as TOML"),
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )
    mark_required = True

    def clean_overrides(self) -> list[Any]:
        text = self.cleaned_data["overrides"]
        tables = read_toml(text, ("overrides",)).get("overrides", []) if text else []
        if not isinstance(tables, list):
            raise forms.ValidationError(_("Write [[overrides]] above each exception."))
        if len(tables) > OVERRIDES_MOST:
            raise forms.ValidationError(
                _("At most {number} exceptions fit here.").format(number=OVERRIDES_MOST)
            )
        return tables


# Groups that riders ask about first; the others begin folded while nothing is stated there.
NEEDED = {"name", "passes", "falls", "double_ups", "pickup_cutoffs", "repeats", "limits"}


@dataclass
class Section:
    """One group of a format on the page."""

    key: str
    label: str
    help: str
    form: GroupForm | None = None
    lists: list[Rows] = field(default_factory=list)

    @property
    def is_open(self) -> bool:
        """Whether the group is unfolded: what every format needs, and what holds something."""
        typed = self.form and any(field.value() or field.errors for field in self.form)
        return self.key in NEEDED or bool(typed) or any(rows.is_stated for rows in self.lists)


class FormatEditor:
    """What an organiser sees and types: from a draft, or from what was posted.

    After `check`, `format` is what could be read, and every fault stands in the form it
    belongs to; those that belong to none are in `errors`.
    """

    def __init__(
        self,
        posted: MultiValueDict | None = None,
        draft: Format | None = None,
        division: str = "",
    ) -> None:
        self.division = division
        stated = as_data(draft) if draft else {}
        touched, adds = "", False
        if posted is not None:
            adds = "add" in (value for key, value in posted.items() if key.endswith("-row"))
            posted, touched = _with_rows_moved(posted)
        self.sections = list(_sections(posted, stated))
        exceptions = {key: stated[key] for key in ("overrides",) if key in stated}
        text = tomli_w.dumps(exceptions)
        self.overrides = OverridesForm(posted, initial={"overrides": text})
        self.errors: list[str] = []
        self.format = draft or Format()
        for rows in self.lists:
            rows.touched = rows.prefix == touched
            rows.grown = rows.touched and adds
        self.changed_rows = bool(touched)

    @property
    def lists(self) -> list[Rows]:
        """Every list of the format."""
        return [rows for section in self.sections for rows in section.lists]

    @property
    def groups(self) -> list[GroupForm]:
        """Every form of plain values outside the lists."""
        return [section.form for section in self.sections if section.form]

    def as_data(self) -> dict[str, Any]:
        """What is stated, as data of the TOML form."""
        data: dict[str, Any] = {}
        for form in self.groups:
            values = form.as_data()
            data |= {str(form.path[0]): values} if form.path and values else {}
            data |= values if not form.path else {}
        for rows in self.lists:
            entries = rows.as_data()
            if entries is not None:
                *outer, last = rows.path
                here = data
                for key in outer:
                    here = here.setdefault(key, {})
                here[last] = entries
        overrides = self.overrides.is_valid() and self.overrides.cleaned_data["overrides"]
        return data | ({"overrides": overrides} if overrides else {})

    def read(self) -> None:
        """Read what was typed as far as it goes, and say nothing of its faults."""
        self.format, _found = try_format(self.as_data())

    def check(self) -> bool:
        """Read what was typed and put every fault in its place; True where there is none."""
        self.errors = []
        self.format, problems = try_format(self.as_data())
        for problem in problems:
            self._place(problem)
        if not problems:
            for sentence in clashes(self.format, self.division):
                self.overrides.add_error("overrides", sentence)
        return not self.faults

    def _place(self, problem: Problem) -> None:
        path = problem.path
        if path[:1] == ("overrides",):
            said = Problem(path[1:], problem.message)
            self.overrides.add_error("overrides", str(said).replace("entry", "exception", 1))
            return
        for rows in self.lists:
            depth = len(rows.path)
            if path[:depth] == rows.path:
                rows.place(path[depth:], problem.message)
                return
        for form in self.groups:
            depth = len(form.path)
            if path[:depth] == form.path and path[depth:] and path[depth] in form.fields:
                form.place(path[depth:], problem.message)
                return
        self.errors.append(str(problem))

    @property
    def faults(self) -> list[Fault]:
        """Every fault on the page, from the top down."""
        found = [Fault(message) for message in self.errors]
        for section in self.sections:
            if section.form:
                found += faults_of(section.form)
            for rows in section.lists:
                target = f"list-{rows.prefix}"
                found += [Fault(each, rows.spec.label, target) for each in rows.errors]
                for number, form in enumerate(rows.forms, start=1):
                    found += faults_of(
                        form,
                        _("{label}, row {number}").format(label=rows.spec.label, number=number),
                        target,
                    )
        return [*found, *faults_of(self.overrides)]


def _described() -> Iterator[tuple[str, Spec]]:
    for each in fields(Format):
        if "spec" in each.metadata:
            yield key_of(each), spec_of(each)


def _lists_in(cls: type) -> Iterator[tuple[str, Spec]]:
    for each in fields(cls):
        if spec_of(each).kind is Kind.LIST:
            yield key_of(each), spec_of(each)


def _sections(posted: Any, stated: dict[str, Any]) -> Iterator[Section]:
    yield Section("naming", _("Name"), "", GroupForm(Format, (), posted, stated))
    for key, spec in _described():
        section = Section(key, spec.label, spec.help)
        if spec.kind is Kind.GROUP:
            group = stated.get(key, {})
            section.form = GroupForm(spec.item, (key,), posted, group)
            section.lists = [
                Rows(inner, (key, name), posted, group.get(name))
                for name, inner in _lists_in(spec.item)
            ]
        elif spec.kind is Kind.LIST:
            section.lists = [Rows(spec, (key,), posted, stated.get(key))]
        else:
            continue
        yield section


def _list_paths() -> Iterator[tuple[Spec, Path]]:
    for key, spec in _described():
        if spec.kind is Kind.LIST:
            yield spec, (key,)
        elif spec.kind is Kind.GROUP:
            yield from ((inner, (key, name)) for name, inner in _lists_in(spec.item))


def _with_rows_moved(posted: MultiValueDict) -> tuple[MultiValueDict, str]:
    """What was posted after the row button that was pressed, and the list it changed."""
    for spec, path in _list_paths():
        changed = moved(posted, spec, path)
        if changed is not None:
            return changed, "-".join(path)
    return posted, ""

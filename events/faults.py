"""What is wrong on a refused page, gathered for the summary at its top.

Every page shows one summary, whatever its forms: `_base.html` asks `faults_in` for what is in
the page's context. A plain form, a set of forms, and whatever has `faults` of its own (the
format editor, the planner, the sheet of a ride) are found there. A view without a form object
hands over a list of `Fault`.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

DEEPEST = 3  # lists and tables of forms lie no deeper in a page's context
ROWS_NAMED = 20  # of a file


@dataclass(frozen=True)
class Fault:
    """One line of the summary: what is wrong, with which field, and the id to go to."""

    message: str
    label: str = ""
    target: str = ""


def faults_of(form: forms.BaseForm, place: str = "", target: str = "") -> Iterator[Fault]:
    """The faults of one form in the order of its fields; those of the whole form first.

    `place` says which of several forms it is, and `target` is the id of the whole.
    """
    if not form.is_bound or not form.errors:
        return
    for message in form.non_field_errors():
        yield Fault(message, place, target)
    for bound in form:
        label = f"{place}: {bound.label}" if place else str(bound.label)
        anchor = "" if bound.is_hidden else bound.id_for_label or f"div_{bound.auto_id}"
        for message in bound.errors:
            yield Fault(message, label, anchor)


def faults_in(values: Iterable[Any]) -> list[Fault]:
    """Every fault of whatever is among the values, each form once."""
    seen: set[int] = set()
    return [fault for value in values for fault in _within(value, seen, DEEPEST)]


def _within(value: Any, seen: set[int], depth: int) -> Iterator[Fault]:
    # By its type: `isinstance` would make lazy values look themselves up.
    kind = type(value)
    if issubclass(kind, str | int | float | bytes) or id(value) in seen:
        return
    if issubclass(kind, Fault):
        yield value
        return
    if issubclass(kind, Mapping | list | tuple):
        inner = value.values() if issubclass(kind, Mapping) else value
        if depth:
            for each in inner:
                yield from _within(each, seen, depth - 1)
        return
    if issubclass(kind, forms.BaseForm):
        seen.add(id(value))
        yield from faults_of(value)
    elif issubclass(kind, forms.BaseFormSet):
        seen.add(id(value))
        yield from _of_set(value)
    elif hasattr(kind, "faults"):
        seen.add(id(value))
        yield from value.faults


def _of_set(formset: forms.BaseFormSet) -> Iterator[Fault]:
    if not formset.is_bound:
        return
    for message in formset.non_form_errors():
        yield Fault(message)
    for number, form in enumerate(formset.forms, start=1):
        yield from faults_of(form, _("Row {number}").format(number=number))


def faults_of_rows(bad: Sequence[tuple[int, Iterable[tuple[str, str, str]]]]) -> list[Fault]:
    """The rows of a file that cannot be taken in: number, and column, cell, sentence of each.

    The page lists all of them, at the ids `row-NUMBER`; the summary names the first ones.
    """
    told = [
        Fault(
            "; ".join(f"{column}: {said}" for column, _typed, said in problems),
            _("Row {number}").format(number=number),
            f"row-{number}",
        )
        for number, problems in bad[:ROWS_NAMED]
    ]
    left = len(bad) - len(told)
    more = ngettext(
        "{left} more row; all of them are listed below.",
        "{left} more rows; all of them are listed below.",
        left,
    ).format(left=left)
    return [*told, Fault(more)] if left else told

"""What the table types on the print page: what to print, and the code of a paper."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from runsheets.books import RoundKey
from runsheets.papers.codes import read_code
from runsheets.papers.pack import KINDS
from runsheets.papers.paper import Kind, title_of
from runsheets.pdf.page import PAPERS
from runsheets.printing import Choice

WHAT_FOR = {
    Kind.RUN_SHEETS: gettext_lazy("for each judge: declared runs, boxes, marks"),
    Kind.SCRIBE: gettext_lazy("to write down what is ridden"),
    Kind.DOCK: gettext_lazy("order, ready-by time, vest, guardian"),
    Kind.BOAT: gettext_lazy("speed, rope, ballast, markers, double-up side"),
    Kind.ANNOUNCER: gettext_lazy("names, clubs, room for notes; no declared runs"),
    Kind.RULES: gettext_lazy("the rules as answers, with a code to scan"),
}
SIZES = {"a4": "A4 (210 × 297 mm)", "letter": gettext_lazy("Letter (8.5 × 11 in)")}
NO_PAPERS = gettext_lazy("Tick at least one paper.")


def _kinds() -> list[tuple[str, str]]:
    return [(each.value, f"{title_of(each)}: {WHAT_FOR[each]}") for each in KINDS]


class PrintForm(forms.Form):
    """Which papers of which rounds and heat, on which paper."""

    rounds = forms.MultipleChoiceField(
        label=gettext_lazy("Rounds"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy(
            "Tick none for the whole event, with rounds whose riders are not known yet."
        ),
    )
    heat = forms.TypedChoiceField(
        label=gettext_lazy("Heat"), required=False, coerce=int, empty_value=None
    )
    kinds = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Papers"),
        coerce=Kind,
        choices=_kinds,
        initial=[each.value for each in KINDS],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": NO_PAPERS},
    )
    paper = forms.ChoiceField(
        label=gettext_lazy("Paper size"),
        choices=[(name, SIZES[name]) for name in PAPERS],
        initial="a4",
        widget=forms.RadioSelect,
    )
    per_judge = forms.BooleanField(
        label=gettext_lazy("A set of run sheets for each judge, with the name on it"),
        required=False,
        initial=True,
    )  # fmt: skip

    def __init__(
        self, *args: Any, rounds: Mapping[RoundKey, str], heats: int, judges: int, **kwargs: Any
    ) -> None:
        """`rounds` can be printed; `heats` is the highest number of a heat."""
        super().__init__(*args, **kwargs)
        self.keys = {f"{pk}:{name}": (pk, name) for pk, name in rounds}
        self.fields["rounds"].choices = [
            (value, rounds[key]) for value, key in self.keys.items()
        ]
        numbers = [
            (number, _("Heat {number}").format(number=number)) for number in range(1, heats + 1)
        ]
        self.fields["heat"].choices = [("", _("Every heat")), *numbers]
        if not judges:
            del self.fields["per_judge"]

    def choice(self) -> Choice:
        """What was chosen, once the form is valid."""
        data = self.cleaned_data
        return Choice(
            rounds=tuple(self.keys[value] for value in data["rounds"]),
            heat=data["heat"],
            kinds=tuple(data["kinds"]),
            per_judge=data.get("per_judge", False),
        )


class CodeForm(forms.Form):
    """The code at the foot of a paper."""

    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=40,
        help_text=gettext_lazy("At the foot of every paper."),
        error_messages={"required": gettext_lazy("Type the code at the foot of the paper.")},
        widget=forms.TextInput(
            attrs={"autocapitalize": "characters", "autocomplete": "off", "size": 12,
                   "spellcheck": "false"}
        ),
    )  # fmt: skip

    def clean_code(self) -> str:
        """The code as it is kept."""
        try:
            return read_code(self.cleaned_data["code"])
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

"""Forms of riders: joining, a row of the planner, a trick of one's own."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper
from events.forms.made_tricks import FIELDS, HELP, LABELS, MadeTrickForm
from events.forms.meanwhile import MeanwhileForm
from events.rules.notation import NotationError, read_run
from events.rules.run import PlannedTrick
from events.rules.vocabulary import Vocabulary
from riders.models import OwnTrick, Rider
from riders.planning.ground import Goal

CLEAN_USUAL = 50  # per cent; common practice, no source: between safe and daring
WHOLE_PERCENT = gettext_lazy(
    "Write the chance as a whole number of per cent from 0 to 100, such as 80."
)
WHOLE_NUMBER = gettext_lazy("Write a whole number, such as 4.")
MORE = {
    Goal.CLEAN: gettext_lazy("more clean"),
    Goal.EXPECTED_LANDED: gettext_lazy("more expected landed"),
    Goal.EXPECTED_TIERS: gettext_lazy("more expected tiers"),
    Goal.DOUBLE_UP: gettext_lazy("more double-up landed"),
}


class JoinForm(forms.ModelForm):
    """Make an account with a rider."""

    email = forms.EmailField(
        label=gettext_lazy("E-mail"),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        help_text=gettext_lazy("You sign in with it. Riders and the public never see it."),
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=gettext_lazy("At least eight characters, nothing that is easy to guess."),
    )

    class Meta:
        model = Rider
        fields = ["given_name", "family_name", "foot", "club_name"]
        labels = {
            "given_name": gettext_lazy("Given name"),
            "family_name": gettext_lazy("Family name"),
        }
        widgets = {
            "given_name": forms.TextInput(attrs={"autocomplete": "given-name"}),
            "family_name": forms.TextInput(attrs={"autocomplete": "family-name"}),
        }
        help_texts = {
            "foot": gettext_lazy("The foot in front when you ride your own way."),
            "club_name": gettext_lazy("As it should stand on the running order."),
        }

    helper = helper(gettext_lazy("Make my account"))

    def clean_email(self) -> str:
        """Refuse an address that has an account already."""
        email: str = self.cleaned_data["email"].lower()
        if get_user_model().objects.filter(username=email).exists():
            raise ValidationError(_("There is an account with this e-mail: sign in instead."))
        return email

    def clean_password(self) -> str:
        """Refuse a password that is easy to guess."""
        password: str = self.cleaned_data["password"]
        validate_password(password)
        return password


class RiderForm(MeanwhileForm, forms.ModelForm):
    """A signed-in person who has no rider yet, or changes their own."""

    class Meta:
        model = Rider
        fields = ["given_name", "family_name", "foot", "club_name"]
        labels = JoinForm.Meta.labels
        help_texts = JoinForm.Meta.help_texts

    helper = helper(gettext_lazy("Save"))


def _number(label: str, most: int, wrong: str, unit: str = "") -> forms.IntegerField:
    attrs = {"inputmode": "numeric", "size": 4, "autocomplete": "off"}
    return forms.IntegerField(
        required=False,
        label=label,
        min_value=0,
        max_value=most,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wrong),
        widget=forms.TextInput(attrs=attrs | ({"data-unit": unit} if unit else {})),
    )


class _Shared(dict[str, forms.Field]):
    """Fields that the forms of one class share, since none of them changes a field.

    Django copies the fields for every form, which for the rows of a planner is a tenth of
    the time of a check.
    """

    def __deepcopy__(self, memo: object) -> "_Shared":
        return self


class RowForm(forms.Form):
    """One row of the planner: a trick in words, with a landing record or a chance."""

    mark_required = True  # nothing is, so that no row says "optional" four times

    trick = forms.CharField(
        required=False,
        max_length=120,
        label=gettext_lazy("Trick"),
        widget=forms.TextInput(
            attrs={"list": "tricks", "autocomplete": "off", "autocapitalize": "none",
                   "spellcheck": "false"}
        ),
    )  # fmt: skip
    landed = _number(gettext_lazy("Landed"), 9999, WHOLE_NUMBER)
    tried = _number(gettext_lazy("of tried"), 9999, WHOLE_NUMBER)
    chance = _number(gettext_lazy("or chance"), 100, WHOLE_PERCENT, "%")

    def __init__(
        self, *args: Any, vocabulary: Callable[[], Vocabulary], bonus: str = "", **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.vocabulary = vocabulary
        self.bonus = bonus
        self.planned: PlannedTrick | None = None

    def clean(self) -> None:
        """Read the trick, and see that the record makes sense."""
        data = self.cleaned_data
        words = data.get("trick") or ""
        landed, tried, chance = (data.get(key) for key in ("landed", "tried", "chance"))
        self._check_record(landed, tried, chance)
        if not words:
            if any(value is not None for value in (landed, tried, chance)):
                self.add_error("trick", _("Say which trick this is."))
            return
        read = self._read(words)
        if read is None or self.errors:
            return
        record = {"landed": landed, "tried": tried} if tried else {}
        if chance is not None:
            record = {"chance": chance / 100}
        self.planned = _with(read, record)

    def _check_record(self, landed: int | None, tried: int | None, chance: int | None) -> None:
        if landed is not None and tried is not None and landed > tried:
            self.add_error(
                "landed",
                _("{landed} landed of {tried} tried cannot be: check both.").format(
                    landed=landed, tried=tried
                ),
            )
        if landed is not None and tried is None and "tried" not in self.errors:
            self.add_error("tried", _("Say also how many times you tried."))
        if tried and landed is None and "landed" not in self.errors:
            self.add_error("landed", _("Say also how many you landed."))
        if chance is not None and tried:
            self.add_error("chance", _("Give a record or a chance, not both."))

    def _read(self, words: str) -> PlannedTrick | None:
        opener = (
            "" if not self.bonus else "+ " if self.bonus == "double-up" else f"+ {self.bonus}: "
        )
        try:
            run = read_run(opener + words, self.vocabulary())
        except NotationError as error:
            self.add_error("trick", str(error))
            return None
        places = list(run.places())
        if len(places) != 1 or len(run.passes) != 1:
            self.add_error("trick", _("Write one trick in each row."))
            return None
        return places[0].planned


RowForm.base_fields = _Shared(RowForm.base_fields)


def _with(planned: PlannedTrick, record: dict[str, Any]) -> PlannedTrick:
    # A record typed into the trick itself ("HS backroll 4/5") holds unless the fields say more.
    if not record:
        return replace(planned, fell=False)
    unknown = {"landed": None, "tried": None, "chance": None}
    return replace(planned, fell=False, **{**unknown, **record})


class OwnTrickForm(MadeTrickForm):
    """A trick of the rider's own, made by its attributes."""

    class Meta:
        model = OwnTrick
        fields = FIELDS
        help_texts = HELP
        labels = LABELS

    helper = helper(gettext_lazy("Keep this trick"))

    def __init__(self, *args: Any, rider: Rider, **kwargs: Any) -> None:
        super().__init__(*args, others=rider.own_tricks.all(), **kwargs)
        self.instance.rider = rider


class WishForm(forms.Form):
    """What suggestions should raise, and how sure the rider wants to be."""

    goal = forms.ChoiceField(
        label=gettext_lazy("Better means"),
        required=False,
        choices=list(MORE.items()),
    )
    clean = forms.IntegerField(
        label=gettext_lazy("Wished-for chance to land everything"),
        required=False,
        min_value=1,
        max_value=99,
        error_messages={
            key: gettext_lazy("Write a whole number of per cent from 1 to 99.")
            for key in ("invalid", "min_value", "max_value")
        },
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 4, "data-unit": "%"}),
        help_text=gettext_lazy(
            "50 is the middle between a safe and a daring run: common practice."
        ),
    )
    mark_required = True

    def clean_goal(self) -> Goal:
        """The figure to raise; the chance to land everything where none was chosen."""
        return Goal(self.cleaned_data["goal"] or Goal.CLEAN)

    def clean_clean(self) -> int:
        """The wished-for chance in per cent."""
        asked: int | None = self.cleaned_data["clean"]
        return CLEAN_USUAL if asked is None else asked

"""Words and numbers of riders' pages."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django import template
from django.utils.formats import number_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from events.models import Division, Event
from events.rules import subject
from events.rules.notation import write_run, write_trick
from events.rules.run import PlannedTrick, Run
from events.rules.trick import Trick
from events.rules.vocabulary import Vocabulary
from events.value_words import value_word
from riders.models import LandingDay
from riders.planning.survival import Survival, reading
from riders.planning.survival import in_hundred as sentence
from riders.planning.survival import left_out as words_left_out
from riders.services import say_when
from riders.services import wording as words_of

register = template.Library()

CLEAN_RUNS = {
    "safe": gettext_lazy("Clean, a safe run."),
    "middle": gettext_lazy("Clean, a middle run."),
    "daring": gettext_lazy("Clean, a daring run."),
}


@register.filter
def at_event(moment: datetime, event: Event) -> str:
    """A moment in the event's own time."""
    return say_when(moment, event)


@register.filter
def percent(chance: float | None) -> str:
    """A probability in per cent, never rounded to certainty."""
    if chance is None:
        return _("not known")
    if 0 < chance < 0.005:
        return _("under 1 %")
    if 0.995 <= chance < 1:
        return _("over 99 %")
    return _("{number} %").format(number=f"{chance * 100:.0f}")


@register.filter
def number(value: float) -> str:
    """A number as HTML attributes want it, whatever the language of the page."""
    return f"{value:.4f}"


@register.filter
def clean_run(clean: float) -> str:
    """What a chance to land everything makes of a run: safe, middle or daring."""
    return str(CLEAN_RUNS[reading(clean)])


@register.filter
def in_hundred(clean: float) -> str:
    """How often in a hundred contests everything would be landed."""
    return sentence(clean)


@register.filter
def left_out(survival: Survival) -> str:
    """What the figures of landed tricks leave out, said to the rider; empty where nothing."""
    return words_left_out(survival)


@register.filter
def left_out_of_shared(survival: Survival) -> str:
    """The same, said to somebody whom a rider shows a plan."""
    return words_left_out(survival, to_rider=False)


@register.filter
def spelled(value: int) -> str:
    """A count in words where it is small."""
    return subject.spelled(value)


@register.filter
def points_of_percent(value: int) -> str:
    """So many points of a hundred, in words."""
    said = ngettext("{number} point of per cent", "{number} points of per cent", value)
    return said.format(number=subject.spelled(value))


@register.filter
def setting_word(setting: str) -> str:
    """A setting of the landing log, as it is kept, in words."""
    return str(dict(LandingDay.Setting.choices).get(setting, setting))


@register.filter
def wording(planned: PlannedTrick) -> str:
    """A planned trick in trade shorthand, without its record."""
    return words_of(planned)


@register.filter
def pass_of(prefix: str) -> str:
    """The prefix of a row's pass: p1 for p1-3."""
    return prefix.partition("-")[0]


@register.filter
def as_line(run: Run) -> str:
    """A run in one line of notation, as a form sends it back."""
    return write_run(run)


@register.filter
def tenth(value: float) -> float:
    """A tenth of a figure: what ten points of a hundred bring."""
    return value / 10


@register.filter
def signed_percent(gain: float) -> str:
    """A difference of probabilities in points of a hundred, with its sign."""
    return number_format(f"{gain * 100:+.1f}")


@register.filter
def shorthand(planned: PlannedTrick) -> str:
    """A planned trick with its record."""
    return write_trick(planned)


@register.simple_tag
def place_of(division: Division, round_name: str = "") -> str:
    """Where a run is ridden: the event, the division and, where it has a name, the round."""
    return ", ".join(str(each) for each in (division.event, division, round_name) if each)


@register.simple_tag
def trick_options(vocabulary: Vocabulary) -> SafeString:
    """The options of a select, grouped by family."""
    tricks = sorted(vocabulary.tricks, key=lambda trick: trick.family)
    groups = (_group(family, each) for family, each in groupby(tricks, lambda t: t.family))
    return format_html_join("", "{}", ((group,) for group in groups))


def _group(family: str, tricks: Iterator[Trick]) -> Any:
    options = format_html_join("", "<option>{}</option>", ((trick.name,) for trick in tricks))
    return format_html(
        '<optgroup label="{}">{}</optgroup>', value_word(family).capitalize(), options
    )

"""Words and numbers of riders' pages."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from events.models import Event
from events.rules import subject
from events.rules.notation import write_run, write_trick
from events.rules.run import PlannedTrick, Run
from events.rules.trick import Trick
from events.rules.vocabulary import Vocabulary
from riders.planning.survival import Survival, reading
from riders.planning.survival import in_hundred as sentence
from riders.planning.survival import left_out as words_left_out
from riders.services import say_when
from riders.services import wording as words_of

register = template.Library()


@register.filter
def at_event(moment: datetime, event: Event) -> str:
    """A moment in the event's own time."""
    return say_when(moment, event)


@register.filter
def percent(chance: float | None) -> str:
    """A probability in per cent, never rounded to certainty."""
    if chance is None:
        return "not known"
    if 0 < chance < 0.005:
        return "under 1 %"
    if 0.995 <= chance < 1:
        return "over 99 %"
    return f"{chance * 100:.0f} %"


@register.filter
def number(value: float) -> str:
    """A number as HTML attributes want it, whatever the language of the page."""
    return f"{value:.4f}"


@register.filter
def risk(clean: float) -> str:
    """safe, middle or daring."""
    return reading(clean)


@register.filter
def in_hundred(clean: float) -> str:
    """How often in a hundred contests everything would be landed."""
    return sentence(clean)


@register.filter
def left_out(survival: Survival, what: str = "you land") -> str:
    """What the figures of landed tricks leave out; empty where nothing."""
    return words_left_out(survival, what)


@register.filter
def counted(value: int, noun: str) -> str:
    """A number with its noun: one rule, two rules."""
    return subject.counted(value, noun)


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
    return f"{gain * 100:+.1f}"


@register.filter
def shorthand(planned: PlannedTrick) -> str:
    """A planned trick with its record."""
    return write_trick(planned)


@register.simple_tag
def trick_options(vocabulary: Vocabulary) -> SafeString:
    """The options of a select, grouped by family."""
    tricks = sorted(vocabulary.tricks, key=lambda trick: trick.family)
    groups = (_group(family, each) for family, each in groupby(tricks, lambda t: t.family))
    return format_html_join("", "{}", ((group,) for group in groups))


def _group(family: str, tricks: Iterator[Trick]) -> Any:
    options = format_html_join("", "<option>{}</option>", ((trick.name,) for trick in tricks))
    return format_html('<optgroup label="{}">{}</optgroup>', family.capitalize(), options)

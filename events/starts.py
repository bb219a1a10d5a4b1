"""Where a draft can begin: the example formats, and formats of other divisions."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from django.contrib.auth.models import User
from django.utils.translation import gettext as _

from events.access import Role
from events.models import Division, Edition, Event
from events.rules.contradictions import contradictions
from events.rules.format import Format
from events.rules.loading import load_format, read_format

EXAMPLES = Path(__file__).parents[1] / "fixtures" / "formats"

Choices = list[tuple[str, list[tuple[str, str]]]]


@lru_cache(maxsize=1)
def example_formats() -> dict[str, Format]:
    """The example formats that come with the program, by file name."""
    files = sorted(EXAMPLES.glob("*.toml"))
    return {file.stem: load_format(file.read_text(encoding="utf-8")) for file in files}


def starting_points(user: User, division: Division) -> Choices:
    """What a draft can begin from, in groups: examples, own drafts, published editions."""
    examples = [(f"example:{key}", each.name or key) for key, each in example_formats().items()]
    organised = Event.objects.held_by(user, Role.ORGANISER)
    drafts = Division.objects.filter(event__in=organised).exclude(pk=division.pk)
    own = [
        (f"draft:{each.pk}", f"{each.event}: {each}")
        for each in drafts.select_related("event").order_by("-event__first_day", "place")[:50]
    ]
    return [group for group in ((_("Examples"), examples), (_("Your drafts"), own),
            (_("Published"), _published(division))) if group[1]]  # fmt: skip


def _published(division: Division) -> list[tuple[str, str]]:
    """The editions of public events and of the division itself, newest first."""
    editions = Edition.objects.filter(division__event__is_public=True) | (
        Edition.objects.filter(division__event__club=division.event.club)
    )
    found = editions.select_related("division__event").defer("data", "changes")
    return [
        (
            f"edition:{each.pk}",
            f"{each.division.event}: {each.division}, {each}",
        )
        for each in found.order_by("-published_at")[:50]
    ]


def starting_format(source: str, division: Division) -> Format:
    """The format behind one of the starting points; an example takes the lake's length."""
    kind, _, key = source.partition(":")
    if kind == "example":
        return _on_the_lake(example_formats()[key], division.event.venue.course_m)
    if kind == "draft":
        return Division.objects.get(pk=key).draft_format
    return read_format(Edition.objects.get(pk=key).data)


def _on_the_lake(example: Format, course_m: int) -> Format:
    """An example as it would be ridden on a course, without the name that it has as one.

    Where a marker of the example would lie beyond a shorter course, its own length stays
    and the organiser moves both.
    """
    plain = replace(example, name=None)
    if example.passes.length_m is None:
        return plain
    fitted = replace(plain, passes=replace(example.passes, length_m=(float(course_m),)))
    return plain if contradictions(fitted) else fitted


def has_own_draft(division: Division) -> bool:
    """Whether the draft says more than what it began with, the length of the venue."""
    return division.draft not in ({}, {"passes": {"length_m": division.event.venue.course_m}})

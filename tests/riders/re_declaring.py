"""Declaring a run, and publishing an edition that changes what it is checked by."""

from events.models import Division
from events.rules.notation import read_run
from events.services import publish_edition
from riders.models import Declaration, Entry
from riders.services import declare
from tests.factories import UserFactory

ONE_INVERT = {
    "say": "No more than one invert",
    "when": {"invert": True},
    "most": 1,
    "per": "run",
}


def declared(
    entry: Entry, notation: str, round_name: str = "", edition: int = 1
) -> Declaration:
    return declare(
        entry=entry,
        round_name=round_name,
        run=read_run(notation),
        side="starboard",
        seen_edition=edition,
    )


def publish(division: Division, **changes) -> None:
    """Publish the rules in force with some values changed, as an organiser does."""
    fresh = Division.objects.get(pk=division.pk)
    fresh.draft = {**fresh.edition.data, **changes}
    fresh.save()
    publish_edition(division=fresh, by=UserFactory())


def fresh(division: Division) -> Division:
    return Division.objects.get(pk=division.pk)

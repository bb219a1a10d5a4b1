"""What organisers do, below the pages."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from events.models import Act, Division, Edition, Event, Official
from events.rules.loading import load_format
from events.services import (
    NotPublished,
    create_club,
    publish_edition,
    save_division,
    save_draft,
    save_event,
    set_public,
    unique_slug,
)
from events.starts import example_formats
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EventFactory,
    UserFactory,
    VenueFactory,
)

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("name", "taken", "slug"),
    [
        ("Reed Cup", set(), "reed-cup"),
        ("Reed Cup", {"reed-cup", "reed-cup-2"}, "reed-cup-3"),
        ("湖", set(), "event"),
        ("x" * 200, set(), "x" * 74),
    ],
)
def test_addresses_come_from_names(name: str, taken: set[str], slug: str) -> None:
    """A slug is short, unique, and there even for a name without Latin letters."""
    assert unique_slug(name, taken.__contains__, most=80, stem="event") == slug


def test_who_makes_a_club_organises_it() -> None:
    """The maker gets the role, and the audit trail says so."""
    user = UserFactory()
    club = create_club(name="Alder Bay", by=user)
    assert Official.objects.get(club=club).role == Official.Role.ORGANISER
    assert Act.objects.get(club=club).what == "Made the club Alder Bay."


def test_two_events_of_one_name_have_two_addresses() -> None:
    """The second gets a number."""
    first = EventFactory(name="Reed Cup", slug="reed-cup")
    again = Event.objects.get(pk=first.pk)
    again.pk, again.slug, again._state.adding = None, "", True
    assert save_event(event=again, by=UserFactory()).slug == "reed-cup-2"


def test_what_cannot_stand_is_not_saved() -> None:
    """Services check what they save, forms or no forms."""
    event = EventFactory()
    event.time_zone = "Lake/Nowhere"
    with pytest.raises(ValidationError, match="Lake/Nowhere is not a time zone"):
        save_event(event=event, by=UserFactory())


def test_a_new_division_starts_with_the_length_of_the_venue() -> None:
    """The course of the lake is data of the draft from the beginning."""
    event = EventFactory(venue=VenueFactory(course_m=512))
    division = save_division(division=Division(event=event, name="Open"), by=UserFactory())
    assert division.draft_format.passes.length_m == (512,)
    assert division.slug == "open"


def test_opening_an_event_is_recorded() -> None:
    """The trail says who opened it."""
    event, user = EventFactory(is_public=False), UserFactory()
    set_public(event=event, public=True, by=user)
    event.refresh_from_db()
    assert event.is_public
    assert event.acts.get().user == user


def test_publishing_freezes_a_copy() -> None:
    """The edition keeps its data whatever becomes of the draft."""
    division, user = DivisionFactory(), UserFactory()
    format = example_formats()["club-day-intermediate"]
    save_draft(division=division, format=format, by=user)
    edition = publish_edition(division=division, by=user)
    save_draft(division=division, format=load_format("[passes]\ncount = 1"), by=user)
    kept = Edition.objects.get(pk=edition.pk)
    assert kept.number == 1
    assert kept.format == format
    assert kept.changes == []
    kept.data = {}
    with pytest.raises(ValidationError, match="never changes"):
        kept.save()


def test_the_next_edition_lists_its_differences() -> None:
    """Numbers go up by one, and what changed is kept with the edition."""
    division, user = DivisionFactory(draft={"passes": {"count": 2}}), UserFactory()
    publish_edition(division=division, by=user)
    save_draft(division=division, format=load_format("[passes]\ncount = 3"), by=user)
    second = publish_edition(division=division, by=user)
    assert second.number == 2
    assert any("three passes" in sentence.lower() for sentence in second.changes)
    assert "Published edition 2" in Act.objects.filter(event=division.event).first().what


def test_an_unchanged_draft_is_not_published() -> None:
    """The sentence names the edition that says the same."""
    division, user = DivisionFactory(draft={"passes": {"count": 2}}), UserFactory()
    publish_edition(division=division, by=user)
    with pytest.raises(NotPublished, match="the same as edition 1"):
        publish_edition(division=division, by=user)
    assert division.editions.count() == 1


def test_a_draft_that_contradicts_itself_is_not_published() -> None:
    """Publishing reads the draft anew; what was saved by other ways is refused too."""
    division = DivisionFactory(draft={"passes": {"tricks_least": 5, "tricks_most": 2}})
    with pytest.raises(NotPublished, match="cannot be read"):
        publish_edition(division=division, by=UserFactory())


def test_exceptions_that_clash_only_together_are_not_published() -> None:
    """Two exceptions may each hold alone and not both at once."""
    text = """
    [passes]
    tricks_least = 3
    tricks_most = 5
    [[rounds]]
    name = "Final"
    [[overrides]]
    when = { round = "Final" }
    set = { passes = { tricks_least = 5 } }
    [[overrides]]
    when = { division = "Open" }
    set = { passes = { tricks_most = 4 } }
    """
    division, user = DivisionFactory(name="Open"), UserFactory()
    save_draft(division=division, format=load_format(text), by=user)
    with pytest.raises(NotPublished, match="contradict each other in the round “Final”"):
        publish_edition(division=division, by=user)


def test_the_same_number_is_never_given_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where another edition slips in between, the organiser is told and nothing is lost."""
    division, user = DivisionFactory(draft={"passes": {"count": 2}}), UserFactory()
    save = Edition.save

    def overtaken(self: Edition, *args: object, **kwargs: object) -> None:
        Edition.objects.bulk_create(
            [Edition(division=division, number=self.number, data={}, published_by=user)]
        )
        save(self, *args, **kwargs)

    monkeypatch.setattr(Edition, "save", overtaken)
    with pytest.raises(NotPublished, match="at the same moment"):
        publish_edition(division=division, by=user)
    assert division.editions.count() == 0  # the whole attempt is taken back


def test_the_database_refuses_a_number_twice() -> None:
    """The constraint holds without the service."""
    division, user = DivisionFactory(), UserFactory()
    Edition.objects.create(division=division, number=1, data={}, published_by=user)
    with pytest.raises(IntegrityError):
        Edition.objects.create(division=division, number=1, data={}, published_by=user)


def test_an_empty_draft_can_be_published() -> None:
    """Stating nothing is a value: riders then read whom to ask."""
    edition = publish_edition(division=DivisionFactory(draft={}), by=UserFactory())
    assert edition.data == {}


@pytest.mark.django_db
def test_an_old_edition_still_loads() -> None:
    """What was published stays readable, also where a new draft like it would be refused."""
    data = {
        "passes": {"count": 2},
        "limits": [{"when": {"trick": ["Bakroll"]}, "most": 0}],
        "a key of long ago": 1,
    }
    edition = EditionFactory(data=data)

    assert edition.format.passes.count == 2
    assert edition.effective("Final").limits is not None

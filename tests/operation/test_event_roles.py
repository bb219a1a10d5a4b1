"""A role for one event: everywhere in that event what the club's role may, nowhere else."""

import pytest
from django.core.exceptions import ValidationError

from events.access import Role, has_role
from events.models import Event, Official
from events.services import add_official, remove_official
from tests.factories import ClubFactory, EventFactory, OfficialFactory, RiderFactory
from tests.operation.permission_world import World, build
from tests.operation.test_permissions import MAY, NEEDS, is_let_in, knock

# Pages of a club and its venues: a role for one event opens none of them.
OF_CLUB = {"club", "venue"}


@pytest.fixture
def world(db) -> World:
    """The world of the permissions, with officials of the event alone and of another one."""
    made = build()
    event = Event.objects.get(slug=made.numbers["event"])
    other = EventFactory(club=event.club, venue=event.venue)
    for role in Role.values:
        for name, where in (("here", event), ("elsewhere", other)):
            user = RiderFactory().user
            OfficialFactory(club=event.club, event=where, user=user, role=role)
            made.people[f"{role} {name}"] = user
    return made


def is_of_club(name: str) -> bool:
    return bool(OF_CLUB & set(NEEDS[name]))


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("name", sorted(MAY))
def test_who_may_open_it(world, client, name, role):
    """In the event as the club's own role may, but for pages of the club; else as anybody."""
    here = is_let_in(knock(client, world, name, f"{role} here"))
    elsewhere = is_let_in(knock(client, world, name, f"{role} elsewhere"))

    as_anybody = "other rider" in MAY[name]
    assert elsewhere is as_anybody
    assert here is (as_anybody or (role in MAY[name] and not is_of_club(name)))


def test_the_matrix_has_all_kinds_of_pages():
    """Else the test above would compare nothing."""
    of_event = [n for n in MAY if "other rider" not in MAY[n] and "organiser" in MAY[n]]
    assert len([n for n in of_event if is_of_club(n)]) >= 8
    assert len([n for n in of_event if not is_of_club(n)]) >= 30


class TestAccess:
    def test_a_role_for_an_event_is_none_for_the_club(self, db):
        event = EventFactory()
        user = OfficialFactory(club=event.club, event=event).user

        assert has_role(user, event, Role.ORGANISER)
        assert not has_role(user, event, Role.TABLE)
        assert not has_role(user, event.club, Role.ORGANISER)
        assert not has_role(user, EventFactory(club=event.club), Role.ORGANISER)

    def test_events_are_listed_by_either_kind_of_role(self, db):
        mine, also, _ = (EventFactory() for _ in range(3))
        user = OfficialFactory(club=mine.club, role=Role.TABLE).user
        OfficialFactory(club=also.club, event=also, user=user, role=Role.TABLE)
        OfficialFactory(club=also.club, user=user, role=Role.DOCK)

        assert set(Event.objects.tabled_by(user)) == {mine, also}
        assert set(Event.objects.held_by(user, Role.DOCK)) == {also}

    def test_an_event_of_another_club_is_refused(self, db):
        official = OfficialFactory()
        with pytest.raises(ValidationError, match="another club's"):
            add_official(
                club=official.club, event=EventFactory(), user=official.user,
                role=Role.TABLE, by=official.user,
            )  # fmt: skip

    def test_the_same_role_once_for_the_club_and_once_for_an_event(self, db):
        event = EventFactory()
        who = {"club": event.club, "user": OfficialFactory().user, "role": Role.TABLE}
        by = who["user"]
        add_official(**who, by=by)
        add_official(**who, event=event, by=by)
        for where in ({}, {"event": event}):
            with pytest.raises(ValidationError):
                add_official(**who, **where, by=by)

    def test_an_organiser_of_one_event_does_not_keep_a_club(self, db):
        """The last organiser of the whole club stays, whoever organises single events."""
        event = EventFactory()
        last = OfficialFactory(club=event.club)
        single = OfficialFactory(club=event.club, event=event)
        with pytest.raises(ValidationError, match="at least one organiser"):
            remove_official(official=last, by=last.user)

        remove_official(official=single, by=last.user)

        assert list(Official.objects.filter(club=event.club)) == [last]
        assert event.acts.first().what == (
            f"Took the role Organiser for {event} from {single.user}."
        )


def test_a_single_events_organiser_finds_it(client, db):
    """The page of organisers lists it, without what belongs to the club."""
    event = EventFactory(club=ClubFactory(name="Heron Riders"))
    client.force_login(OfficialFactory(club=event.club, event=event).user)

    text = client.get("/organise/").text

    assert f"/organise/events/{event.slug}/" in text
    assert "You organise no club yet" not in text
    assert "/people/" not in text
    assert client.get(f"/organise/events/{event.slug}/").status_code == 200

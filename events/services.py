"""What organisers do: every change to clubs, events, divisions and editions goes through here.

Each call checks what it saves and leaves a line in the audit trail.
"""

from collections.abc import Callable, Sequence
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from events.models import Act, Club, ClubTrick, Division, Edition, Event, Official, Venue
from events.rules.differences import differences
from events.rules.format import Format
from events.rules.language import mark
from events.rules.loading import FormatError, as_data, effective, read_format
from events.signals import edition_published
from events.stamps import stamp

# Who erases their account is found by these in the audit trail.
GAVE = mark("Gave {user} the role {role}.")
TOOK = mark("Took the role {role} from {user}.")


class NotPublished(ValueError):
    """A draft was not published; the text says why and what to do."""


class DraftChanged(Exception):
    """Somebody else saved the draft meanwhile; `division` holds theirs."""

    def __init__(self, division: Division) -> None:
        super().__init__(_("The draft was changed meanwhile."))
        self.division = division


def unique_slug(name: str, is_taken: Callable[[str], bool], *, most: int, stem: str) -> str:
    """A short name for addresses that nobody else has: the name's, with a number if taken."""
    base = slugify(name)[: most - 6].strip("-") or stem
    slug, number = base, 1
    while is_taken(slug):
        number += 1
        slug = f"{base}-{number}"
    return slug


def record(*, club: Club, by: User, what: str, event: Event | None = None) -> Act:
    """Write a line in the audit trail."""
    act = Act(club=club, event=event, user=by, what=what[:300])
    act.clean_fields(exclude=["club", "event", "user"])  # they are at hand, so they exist
    act.save()
    return act


def record_all(*, club: Club, by: User, whats: Sequence[str], event: Event) -> None:
    """As `record`, many lines about an event with one statement."""
    Act.objects.bulk_create(
        Act(club=club, event=event, user=by, what=what[:300]) for what in whats
    )


@transaction.atomic
def create_club(*, name: str, by: User) -> Club:
    """A new club; whoever makes it is its first organiser."""

    def taken(slug: str) -> bool:
        return Club.objects.filter(slug=slug).exists()

    club = Club(name=name, slug=unique_slug(name, taken, most=60, stem="club"))
    club.full_clean()
    club.save()
    _give_role(club, None, by, Official.Role.ORGANISER)
    record(club=club, by=by, what=_("Made the club {name}.").format(name=club.name))
    return club


def _give_role(club: Club, event: Event | None, user: User, role: str) -> Official:
    official = Official(club=club, event=event, user=user, role=role)
    official.full_clean()
    official.save()
    return official


def role_at(role: str, event: Event | None) -> str:
    """For the audit trail: a role, with the event where it is for one event only."""
    return _("{role} for {event}").format(role=role, event=event) if event else str(role)


@transaction.atomic
def add_official(
    *, club: Club, user: User, role: str, by: User, event: Event | None = None
) -> Official:
    """Give a person a role in the club, or for one of its events only."""
    official = _give_role(club, event, user, role)
    what = _(GAVE).format(user=user, role=role_at(official.get_role_display(), event))
    record(club=club, event=event, by=by, what=what)
    return official


@transaction.atomic
def remove_official(*, official: Official, by: User) -> None:
    """Take a role away; the last organiser of a club keeps theirs."""
    club = Club.objects.select_for_update().get(pk=official.club_id)
    organisers = club.officials.filter(role=Official.Role.ORGANISER, event=None)
    event, role = official.event, official.get_role_display()
    is_organiser = official.role == Official.Role.ORGANISER and event is None
    if is_organiser and organisers.count() == 1:
        raise ValidationError(_("A club keeps at least one organiser: make another one first."))
    what = _(TOOK).format(role=role_at(role, event), user=official.user)
    official.delete()
    record(club=club, event=event, by=by, what=what)


@transaction.atomic
def add_club_trick(*, trick: ClubTrick, by: User) -> ClubTrick:
    """Add a trick that every rider of the club's events can plan."""
    trick.full_clean()
    trick.save()
    record(club=trick.club, by=by, what=_("Added the trick {name}.").format(name=trick.name))
    return trick


@transaction.atomic
def remove_club_trick(*, trick: ClubTrick, by: User) -> None:
    """Take a trick off the club's list; declared runs keep it as it was."""
    record(club=trick.club, by=by, what=_("Removed the trick {name}.").format(name=trick.name))
    trick.delete()


@transaction.atomic
def save_venue(*, venue: Venue, by: User) -> Venue:
    """Save a venue that was made or changed."""
    said = _("Changed the venue {name}.") if venue.pk else _("Added the venue {name}.")
    venue.full_clean()
    venue.save()
    record(
        club=venue.club,
        by=by,
        what=said.format(name=venue.name),
    )
    return venue


@transaction.atomic
def save_event(*, event: Event, by: User) -> Event:
    """Save an event that was made or changed; a new one gets its address from its name."""
    said = _("Changed the event {name}.") if event.pk else _("Added the event {name}.")
    if not event.slug:

        def taken(slug: str) -> bool:
            return Event.objects.filter(slug=slug).exists()

        event.slug = unique_slug(event.name, taken, most=80, stem="event")
    event.full_clean()
    event.save()
    record(
        club=event.club,
        event=event,
        by=by,
        what=said.format(name=event.name),
    )
    return event


@transaction.atomic
def set_public(*, event: Event, public: bool, by: User) -> Event:
    """Open an event to everybody, or take it back."""
    event.is_public = public
    event.full_clean()
    event.save(update_fields=["is_public"])
    what = (
        _("Opened the event to everybody.") if public else _("Hid the event from the public.")
    )
    record(club=event.club, event=event, by=by, what=what)
    return event


@transaction.atomic
def save_division(*, division: Division, by: User) -> Division:
    """Save a division. A new one starts with the venue's course as its pass length."""
    said = _("Changed the division {name}.") if division.pk else _("Added the division {name}.")
    event = division.event
    if not division.slug:
        here = Division.objects.filter(event=event)

        def taken(slug: str) -> bool:
            return here.filter(slug=slug).exists()

        division.slug = unique_slug(division.name, taken, most=80, stem="division")
        division.draft = division.draft or {"passes": {"length_m": event.venue.course_m}}
    division.full_clean()
    division.save()
    record(
        club=event.club,
        event=event,
        by=by,
        what=said.format(name=division.name),
    )
    return division


def draft_stamp(division: Division) -> str:
    """A short text that changes whenever the draft does."""
    return stamp(division.draft)


@transaction.atomic
def save_draft(
    *, division: Division, format: Format, by: User, seen: str | None = None
) -> Division:
    """Keep a format as the division's draft. Nobody sees it before it is published.

    With `seen`, the stamp of the draft that somebody began from, DraftChanged is raised if
    another one was saved meanwhile that differs from both.
    """
    held = Division.objects.select_for_update().get(pk=division.pk)
    new = as_data(format)
    if seen is not None and held.draft != new and draft_stamp(held) != seen:
        raise DraftChanged(held)
    division.draft = new
    division.full_clean()
    division.save(update_fields=["draft"])
    what = _("Changed the draft format of {name}.").format(name=division.name)
    record(club=division.event.club, event=division.event, by=by, what=what)
    return division


def clashes(format: Format, division_name: str) -> list[str]:
    """What exceptions that hold at the same time make of the format, a sentence each."""
    rounds = [each.name for each in format.rounds or () if each.name]
    found = []
    for name in (None, *rounds):
        try:
            effective(format, division=division_name, round=name)
        except FormatError as error:
            said = (
                _("The exceptions contradict each other in the round “{name}”: {error}")
                if name
                else _("The exceptions contradict each other outside the rounds: {error}")
            )
            found.append(said.format(name=name, error=error))
    return found


def publish_edition(*, division: Division, by: User, seen: str | None = None) -> Edition:
    """Freeze the draft as the next edition; raises NotPublished where that cannot be done.

    With `seen`, the stamp of the draft that was looked at, nothing else is published.
    """
    try:
        return _publish(division, by, seen)
    except IntegrityError as error:
        raise NotPublished(
            _(
                "Another edition was published at the same moment. Look at it, then "
                "publish again if yours still differs."
            )
        ) from error


@transaction.atomic
def _publish(division: Division, by: User, seen: str | None) -> Edition:
    locked = Division.objects.select_for_update().get(pk=division.pk)
    if seen is not None and draft_stamp(locked) != seen:
        raise NotPublished(
            _(
                "The draft was changed since you looked at it, so nothing is "
                "published. This is how it stands now: look again, then publish."
            )
        )
    try:
        format = read_format(locked.draft)
    except FormatError as error:
        raise NotPublished(
            _("The draft cannot be read: {error}").format(error=error)
        ) from error
    for sentence in clashes(format, locked.name):
        raise NotPublished(sentence)
    last = locked.editions.order_by("-number").first()
    if last is not None and last.format == format:
        raise NotPublished(
            _("The draft is the same as edition {number}: there is nothing to publish.").format(
                number=last.number
            )
        )
    edition = Edition(
        division=locked,
        number=last.number + 1 if last else 1,
        data=as_data(format),
        changes=_changes(last, format),
        published_by=by,
    )
    edition.full_clean(exclude=["data"])  # read above; a format may state nothing at all
    edition.save()
    event = locked.event
    what = _("Published edition {number} of {name}.").format(
        number=edition.number, name=locked.name
    )
    record(club=event.club, event=event, by=by, what=what)
    edition_published.send(sender=Edition, edition=edition, by=by)
    return edition


def _changes(last: Edition | None, format: Format) -> list[Any]:
    if last is None:
        return []
    return [change.sentence for change in differences(last.format, format)]

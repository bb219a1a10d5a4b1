"""Who rode in an earlier year, to be invited by the organiser. Plain values.

`riders` knows them and answers `asked_for_earlier_riders`. Nobody is entered and nothing is
sent: people have agreed to letters about their own entries, not about other events.
"""

from dataclasses import dataclass, field

from events.models import Event
from events.signals import asked_for_earlier_riders


@dataclass(frozen=True)
class EarlierRider:
    """Somebody to invite. `note` says what to look out for, such as a guardian to write to."""

    name: str
    email: str
    divisions: tuple[str, ...]
    note: str = ""
    under_age: bool = False


@dataclass
class EarlierRiders:
    """Everybody of an earlier event, and what of a file could not be read.

    `bad` holds for each bad row its number and, by cell, column, what stands there, and a
    sentence. `problem` is why a file cannot be read at all. `division_names` are the
    divisions that the rows speak of.
    """

    riders: list[EarlierRider] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    bad: list[tuple[int, list[tuple[str, str, str]]]] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    division_names: list[str] = field(default_factory=list)
    problem: str = ""

    @property
    def addresses(self) -> list[str]:
        """Every address once, in the order of the names; none of somebody under age."""
        known = (each.email for each in self.riders if each.email and not each.under_age)
        return list(dict.fromkeys(known))

    @property
    def any_under_age(self) -> bool:
        """Whether a guardian is to be written to instead."""
        return any(each.under_age for each in self.riders)


def earlier_riders(
    event: Event, *, earlier: Event | None = None, file: bytes | None = None
) -> EarlierRiders:
    """The riders of an earlier event, or of a file of its entries, who may be invited.

    `event` is the new one: who is under age at it has a guardian to be written to.
    """
    answers = asked_for_earlier_riders.send(
        sender=Event, event=event, earlier=earlier, file=file
    )
    found: EarlierRiders | None = next((answer for _, answer in answers if answer), None)
    return found or EarlierRiders()

"""Values of a format that cannot hold together, each with its place and a way out."""

from collections.abc import Iterator

from events.rules.format import Format, named
from events.rules.impossible import impossible, names_unknown
from events.rules.language import gettext as _
from events.rules.language import ngettext
from events.rules.reading import Path, Problem
from events.rules.riding import Limit
from events.rules.units import Amount, plain
from events.rules.words import BonusCondition


def contradictions(format: Format) -> list[Problem]:
    """Every contradiction between the values of a format."""
    return [problem for look in LOOKS for problem in look(format)]


def _tricks_per_pass(format: Format) -> Iterator[Problem]:
    p = format.passes
    yield from _least_over_most(("passes", "tricks_least"), p.tricks_least, p.tricks_most)
    if p.any_number and (p.tricks_least is not None or p.tricks_most is not None):
        message = _("Either any number, or a least and a most.")
        yield Problem(("passes", "any_number"), message)
    if p.tricks_expected is not None:
        path = ("passes", "tricks_expected")
        yield from _least_over_most(path, p.tricks_expected, p.tricks_most)
        if p.tricks_least is not None and p.tricks_expected < p.tricks_least:
            message = _("Fewer than the {number} that there must be.")
            yield Problem(path, message.format(number=p.tricks_least))
    if p.different_least and p.tricks_most and p.count:
        most = p.tricks_most * p.count
        if p.different_least > most:
            message = ngettext(
                "Only {number} trick fits in a run.", "Only {number} tricks fit in a run.", most
            )
            yield Problem(("passes", "different_least"), message.format(number=most))


def _values_per_pass(format: Format) -> Iterator[Problem]:
    count = format.passes.count
    for key, values in (
        ("length_m", format.passes.length_m),
        ("seconds", format.passes.seconds),
    ):
        many = values is not None and len(values) > 1
        if many and count is not None and len(values or ()) != count:
            message = ngettext(
                "There is {number} pass: give one number.",
                "There are {number} passes: give one number, or one for each.",
                count,
            )
            yield Problem(("passes", key), message.format(number=count))
    seconds, most = format.passes.seconds, format.passes.seconds_most
    if seconds and most is not None and max(seconds) > most:
        message = _("The upper end is below the pass time.")
        yield Problem(("passes", "seconds_most"), message)


def _allowances(format: Format) -> Iterator[Problem]:
    falls = format.falls
    for key in ("water_allowed", "obstacle_allowed"):
        part = getattr(falls, key)
        if part is not None and falls.allowed is not None and part > falls.allowed:
            message = ngettext(
                "More than the {number} fall allowed in all.",
                "More than the {number} falls allowed in all.",
                falls.allowed,
            )
            yield Problem(("falls", key), message.format(number=falls.allowed))


def _bonus_tricks(format: Format) -> Iterator[Problem]:
    names = tuple(bonus.name for bonus in format.double_ups or () if bonus.name)
    for number, bonus in enumerate(format.double_ups or ()):
        path: Path = ("double_ups", number)
        yield from _pass_exists(format, (*path, "after_pass"), bonus.after_pass)
        where = (bonus.after_pass, bonus.cutoff_m, bonus.cutoff_fraction)
        yield from _on_the_pass(format, (*path, "cutoff_m"), *where)
        needs_number = bonus.condition is BonusCondition.FEWER_FALLS
        if needs_number and bonus.falls_fewer_than is None:
            message = _("Say how many falls are too many.")
            yield Problem((*path, "falls_fewer_than"), message)
        for name in bonus.excludes or ():
            if not named(name, names):
                message = _('There is no extra called "{name}" to leave out.')
                yield Problem((*path, "excludes"), message.format(name=name))


def _pickup_markers(format: Format) -> Iterator[Problem]:
    for number, cutoff in enumerate(format.pickup_cutoffs or ()):
        path: Path = ("pickup_cutoffs", number)
        yield from _pass_exists(format, (*path, "pass"), cutoff.pass_no)
        where = (cutoff.pass_no, cutoff.at_m, cutoff.at_fraction)
        yield from _on_the_pass(format, (*path, "at_m"), *where)


def _limits(format: Format) -> Iterator[Problem]:
    for number, limit in enumerate(format.limits or ()):
        yield from _limit(format, ("limits", number), limit)


def _limit(format: Format, path: Path, limit: Limit) -> Iterator[Problem]:
    yield from _least_over_most((*path, "least"), limit.least, limit.most)
    yield from _pass_exists(format, (*path, "pass"), limit.pass_no)
    if limit.most is None and limit.least is None:
        message = _("Say how many at most (0 for a ban), or how many at least.")
        yield Problem((*path, "most"), message)
    if limit.differs_by is not None:
        yield from _different_tricks(limit, (*path, "differs_by"))
    if limit.when is not None:
        yield from names_unknown(limit.when, (*path, "when"))
        if reason := impossible(limit.when):
            message = _("No trick can meet this condition: {reason}.")
            yield Problem((*path, "when"), message.format(reason=reason))


def _different_tricks(limit: Limit, path: Path) -> Iterator[Problem]:
    if limit.most == 0:
        yield Problem(path, _("A ban is the same for all tricks: leave this out."))
    elif limit.most is not None and limit.least is not None:
        yield Problem(path, _("Write one limit for the most, another for the least."))


def _boat(format: Format) -> Iterator[Problem]:
    boat = format.boat
    pairs: tuple[tuple[str, Amount | None, Amount | None], ...] = (
        ("speed_least", boat.speed_least, boat.speed_most),
        ("speed_least", boat.speed_least, boat.speed),
        ("speed", boat.speed, boat.speed_most),
    )
    for key, low, high in pairs:
        if low is not None and high is not None and low.si > high.si + 1e-9:
            message = _("{low} is more than {high}.").format(low=low, high=high)
            yield Problem(("boat", key), message)


def _riders(format: Format) -> Iterator[Problem]:
    who = format.division
    yield from _least_over_most(("division", "age_least"), who.age_least, who.age_most)
    yield from _least_over_most(
        ("division", "riders_least"), who.riders_least, who.entries_most
    )


def _marks(format: Format) -> Iterator[Problem]:
    low, high = format.judging.mark_least, format.judging.mark_most
    if low is not None and high is not None and low >= high:
        path: Path = ("judging", "mark_least")
        yield Problem(path, _("The lowest mark must be below the highest."))


def _clock(format: Format) -> Iterator[Problem]:
    opens, closes = format.clock.entries_open, format.clock.entries_close
    if opens is None or closes is None or (opens.tzinfo is None) != (closes.tzinfo is None):
        return
    if opens >= closes:
        message = _("Entries must close after they open.")
        yield Problem(("clock", "entries_close"), message)


LOOKS = (
    _tricks_per_pass,
    _values_per_pass,
    _allowances,
    _bonus_tricks,
    _pickup_markers,
    _limits,
    _boat,
    _riders,
    _marks,
    _clock,
)


def _least_over_most(path: Path, least: int | None, most: int | None) -> Iterator[Problem]:
    if least is not None and most is not None and least > most:
        message = _("{least} is more than the most allowed, {most}.")
        yield Problem(path, message.format(least=least, most=most))


def _pass_exists(format: Format, path: Path, pass_no: int | None) -> Iterator[Problem]:
    count = format.passes.count
    if pass_no is not None and count is not None and pass_no > count:
        message = ngettext(
            "There is no pass {pass_no}: the run has {number} pass.",
            "There is no pass {pass_no}: the run has {number} passes.",
            count,
        )
        yield Problem(path, message.format(pass_no=pass_no, number=count))


def _on_the_pass(
    format: Format, path: Path, pass_no: int | None, metres: float | None, part: float | None
) -> Iterator[Problem]:
    if metres is not None and part is not None:
        yield Problem(path, _("Give the marker in metres or as a part of the pass, not both."))
        return
    if metres is None:
        return
    # A marker without a pass stands in every pass.
    numbers = [pass_no] if pass_no else range(1, _passes_known(format) + 1)
    known = [(length, no) for no in numbers if (length := format.pass_length(no)) is not None]
    length, shortest = min(known, default=(metres, 0))
    if metres > length:
        message = (
            _(
                "A marker at {place} m lies beyond the pass, which is {length} m long: "
                "put it at {length} m or less."
            )
            if pass_no or len(known) == 1
            else _(
                "A marker at {place} m lies beyond pass {pass_no}, which is {length} m long: "
                "put it at {length} m or less."
            )
        )
        said = {"place": plain(metres), "length": plain(length), "pass_no": shortest}
        yield Problem(path, message.format(**said))


def _passes_known(format: Format) -> int:
    stated = format.passes
    return stated.count or max(len(stated.length_m or ()), len(stated.seconds or ()), 1)

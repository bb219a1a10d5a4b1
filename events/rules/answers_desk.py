"""What riders read about judging, deadlines and planning figures, and the format's name."""

from collections.abc import Iterator

from events.rules.answers_contest import CONTEST
from events.rules.answers_words import (
    Point,
    Topic,
    all_missing,
    capital,
    in_minutes,
    joined,
    missing,
    number,
    quoted,
    sentence,
    unique,
)
from events.rules.dates import moment
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.staging import Criterion, Judging, Note
from events.rules.units import plain
from events.rules.words import Combine, JudgePlace

DEADLINES = mark("Deadlines")
PLANNING = mark("Planning")

_PLACES = {
    JudgePlace.BOAT: mark("The judges watch from the boat."),
    JudgePlace.SHORE: mark("The judges watch from the shore."),
    JudgePlace.BOTH: mark("The judges watch from the boat and from the shore."),
}
_COMBINE = {
    Combine.MEAN: mark("The judges' marks are averaged."),
    Combine.DROP_ENDS: mark("The highest and the lowest mark are left out, the rest averaged."),
    Combine.PLACINGS: mark("The judges' placings are combined, not their marks."),
}


def judging(format: Format) -> Topic:
    """What is marked, by how many, from where, and what breaks a tie."""
    blank = _("How it is judged is not stated: ask the organiser.")
    points = tuple(_judging(format.judging))
    return Topic("judging", _("How is it judged?"), _(CONTEST), points, blank)


def _judging(stated: Judging) -> Iterator[Point]:
    if stated.criteria is not None:
        listed = joined(_criterion(each) for each in stated.criteria)
        text = (
            _("Marked: {listed}.").format(listed=listed)
            if listed
            else _("There are no separate criteria.")
        )
        yield Point("criteria", _("Criteria"), text)
    if stated.mark_least is not None or stated.mark_most is not None:
        yield Point("marks", _("Marks"), _marks(stated))
    if stated.panel is not None:
        text = ngettext(
            "{number} judge marks each run.", "{number} judges mark each run.", stated.panel
        ).format(number=capital(number(stated.panel)))
        yield Point("panel", _("Judges"), text)
    if stated.place is not None:
        yield Point("place", _("Judges' place"), _(_PLACES[stated.place]))
    if stated.combine is not None:
        yield Point("combine", _("Marks combined"), _(_COMBINE[stated.combine]))
    if stated.tie_breaks is not None:
        breaks = _(", then ").join(" ".join(each.split()) for each in stated.tie_breaks)
        text = (
            _("A tie is decided by {criteria}.").format(criteria=breaks)
            if breaks
            else _("Nothing breaks a tie.")
        )
        yield Point("ties", "Tie-breaks", text)
    asked = (
        (_("what is marked"), stated.criteria),
        (_("how many judges there are"), stated.panel),
        (_("where the judges watch from"), stated.place),
        (_("how the marks combine"), stated.combine),
        (_("what decides a tie"), stated.tie_breaks),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("open", _("Judging"), things)


def _marks(stated: Judging) -> str:
    if stated.mark_most is None:
        return _("The lowest mark is {plain}.").format(plain=plain(stated.mark_least or 0))
    if stated.mark_least is None:
        return _("The highest mark is {plain}.").format(plain=plain(stated.mark_most))
    return _("Marks go from {plain} to {plain_2}.").format(
        plain=plain(stated.mark_least), plain_2=plain(stated.mark_most)
    )


def _criterion(stated: Criterion) -> str:
    name = " ".join((stated.name or "").split()) or _("a criterion without a name")
    return name if stated.weight is None else f"{name} ({plain(stated.weight)})"


def clock(format: Format, deadline: str = "") -> Topic:
    """Deadlines. `deadline` is the event's own, in words, for where the format has none."""
    blank = _("When you must declare is not stated: ask the organiser.")
    points = tuple(_clock(format, deadline))
    return Topic("declare", _("When must I declare?"), _(DEADLINES), points, blank)


def _clock(format: Format, deadline: str) -> Iterator[Point]:
    stated = format.clock
    declare_by = deadline if stated.declare_by is None else moment(stated.declare_by)
    if declare_by:
        text = _("Declare your run by {declare_by}.").format(declare_by=declare_by)
        yield Point("declare", _("Declare by"), text)
    else:
        yield missing("declare", _("Declare by"), _("when you must declare"))
    if stated.entries_open is not None:
        text = _("Entries open on {moment}.").format(moment=moment(stated.entries_open))
        yield Point("open", _("Entries open"), text)
    if stated.entries_close is not None:
        text = _("Entries close on {moment}.").format(moment=moment(stated.entries_close))
        yield Point("close", _("Entries close"), text)
    if stated.ready_min is not None:
        early = in_minutes(stated.ready_min)
        text = _("Be ready at the dock {early} before your start.").format(early=early)
        yield Point("ready", _("Ready by"), text)
    if stated.protest_min is not None:
        after = in_minutes(stated.protest_min)
        text = _("Protest within {after} after the results are posted.").format(after=after)
        yield Point("protest", _("Protest"), text)
    asked = (
        (_("when entries open"), stated.entries_open),
        (_("when they close"), stated.entries_close),
        (_("how early you must be ready"), stated.ready_min),
        (_("until when you may protest"), stated.protest_min),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("rest", _("Other deadlines"), things)


def notes(format: Format) -> Topic:
    """Rules in the organiser's own words, which no check depends on."""
    label = _("Other rule")
    if format.notes:
        codes = unique(_note_code(each) for each in format.notes)
        points = [
            Point(code, label, _note(each))
            for code, each in zip(codes, format.notes, strict=True)
        ]
    else:
        none = Point("notes", label, _("There are no other rules."))
        asked = missing("notes", label, _("whether there are other rules"))
        points = [asked if format.notes is None else none]
    blank = _("Whether there are other rules is not stated: ask the organiser.")
    return Topic("notes", _("What else must I know?"), _(CONTEST), tuple(points), blank)


def _note(stated: Note) -> str:
    about = " ".join((stated.about or "").split())
    if not (stated.say or "").strip():
        if not about:
            return _("There is a rule about something, which is not stated: ask the organiser.")
        said = _("There is a rule about {subject}, which is not stated: ask the organiser.")
        return said.format(subject=about)
    rule = sentence(stated.say or "")
    return capital(f"{about}: {rule}" if about else rule)


def _note_code(stated: Note) -> str:
    # A colon would read as an entry of a list with points of its own.
    return (
        " ".join((stated.about or stated.say or "a rule").split()).casefold().replace(":", "")
    )


def route(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """The course used by riding: figures for planning, no rule."""
    points = (
        _uses(
            "trick",
            _("Course used by a trick"),
            _("how much course a trick uses"),
            _("A trick, from one cut to the next, uses {length} of the course."),
            format.route.trick_m,
            units,
        ),
        _uses(
            "turn",
            _("Course used by a turn"),
            _("how much course a turn uses"),
            _("A turn to change stance uses {length} of the course."),
            format.route.turn_m,
            units,
        ),
        _uses(
            "cross",
            _("Course used by a crossing"),
            _("how much course a crossing uses"),
            _("A crossing to the other side uses {length} of the course."),
            format.route.cross_m,
            units,
        ),
    )
    blank = _("What riding uses up is not stated: ask the organiser.")
    return Topic("route", _("What does riding use up?"), _(PLANNING), points, blank)


def _uses(
    code: str, label: str, asked: str, said: str, metres: float | None, units: Units
) -> Point:
    if metres is None:
        return missing(code, label, asked)
    return Point(code, label, said.format(length=units.published_metres(metres)))


def name(format: Format) -> Topic:
    """What the format is called."""
    if format.name and format.name.strip():
        point = Point(
            "name", _("Name"), _("It is called {name}.").format(name=quoted(format.name))
        )
    else:
        point = missing("name", _("Name"), _("what the format is called"))
    blank = _("What the format is called is not stated: ask the organiser.")
    return Topic("name", _("What is this format called?"), _(CONTEST), (point,), blank)

"""What riders read about judging, deadlines and planning figures, and the format's name."""

from collections.abc import Iterator

from events.rules.answers_contest import CONTEST
from events.rules.answers_words import (
    ASK,
    Point,
    Topic,
    all_missing,
    capital,
    joined,
    measure,
    missing,
    moment,
    number,
    quoted,
    sentence,
    unique,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.staging import Criterion, Judging, Note
from events.rules.units import plain
from events.rules.words import Combine, JudgePlace

DEADLINES = "Deadlines"
PLANNING = "Planning"

_PLACES = {
    JudgePlace.BOAT: "The judges watch from the boat.",
    JudgePlace.SHORE: "The judges watch from the shore.",
    JudgePlace.BOTH: "The judges watch from the boat and from the shore.",
}
_COMBINE = {
    Combine.MEAN: "The judges' marks are averaged.",
    Combine.DROP_ENDS: "The highest and the lowest mark are left out, the rest averaged.",
    Combine.PLACINGS: "The judges' placings are combined, not their marks.",
}


def judging(format: Format) -> Topic:
    """What is marked, by how many, from where, and what breaks a tie."""
    blank = f"How it is judged is {ASK}"
    points = tuple(_judging(format.judging))
    return Topic("judging", "How is it judged?", CONTEST, points, blank)


def _judging(stated: Judging) -> Iterator[Point]:
    if stated.criteria is not None:
        listed = joined(_criterion(each) for each in stated.criteria)
        text = f"Marked: {listed}." if listed else "There are no separate criteria."
        yield Point("criteria", "Criteria", text)
    if stated.mark_least is not None or stated.mark_most is not None:
        yield Point("marks", "Marks", _marks(stated))
    if stated.panel is not None:
        one = "One judge marks each run."
        several = f"{capital(number(stated.panel))} judges mark each run."
        yield Point("panel", "Judges", one if stated.panel == 1 else several)
    if stated.place is not None:
        yield Point("place", "Judges' place", _PLACES[stated.place])
    if stated.combine is not None:
        yield Point("combine", "Marks combined", _COMBINE[stated.combine])
    if stated.tie_breaks is not None:
        breaks = ", then ".join(" ".join(each.split()) for each in stated.tie_breaks)
        text = f"A tie is decided by {breaks}." if breaks else "Nothing breaks a tie."
        yield Point("ties", "Tie-breaks", text)
    asked = (
        ("what is marked", stated.criteria),
        ("how many judges there are", stated.panel),
        ("where the judges watch from", stated.place),
        ("how the marks combine", stated.combine),
        ("what decides a tie", stated.tie_breaks),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("open", "Judging", things)


def _marks(stated: Judging) -> str:
    if stated.mark_most is None:
        return f"The lowest mark is {plain(stated.mark_least or 0)}."
    if stated.mark_least is None:
        return f"The highest mark is {plain(stated.mark_most)}."
    return f"Marks go from {plain(stated.mark_least)} to {plain(stated.mark_most)}."


def _criterion(stated: Criterion) -> str:
    name = " ".join((stated.name or "").split()) or "a criterion without a name"
    return name if stated.weight is None else f"{name} ({plain(stated.weight)})"


def clock(format: Format, deadline: str = "") -> Topic:
    """Deadlines. `deadline` is the event's own, in words, for where the format has none."""
    blank = f"When you must declare is {ASK}"
    points = tuple(_clock(format, deadline))
    return Topic("declare", "When must I declare?", DEADLINES, points, blank)


def _clock(format: Format, deadline: str) -> Iterator[Point]:
    stated = format.clock
    declare_by = deadline if stated.declare_by is None else moment(stated.declare_by)
    if declare_by:
        text = f"Declare your run by {declare_by}."
        yield Point("declare", "Declare by", text)
    else:
        yield missing("declare", "Declare by", "when you must declare")
    if stated.entries_open is not None:
        text = f"Entries open on {moment(stated.entries_open)}."
        yield Point("open", "Entries open", text)
    if stated.entries_close is not None:
        text = f"Entries close on {moment(stated.entries_close)}."
        yield Point("close", "Entries close", text)
    if stated.ready_min is not None:
        early = measure(stated.ready_min, "minute")
        text = f"Be ready at the dock {early} before your start."
        yield Point("ready", "Ready by", text)
    if stated.protest_min is not None:
        after = measure(stated.protest_min, "minute")
        text = f"Protest within {after} after the results are posted."
        yield Point("protest", "Protest", text)
    asked = (
        ("when entries open", stated.entries_open),
        ("when they close", stated.entries_close),
        ("how early you must be ready", stated.ready_min),
        ("until when you may protest", stated.protest_min),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("rest", "Other deadlines", things)


def notes(format: Format) -> Topic:
    """Rules in the organiser's own words, which no check depends on."""
    label = "Other rule"
    if format.notes:
        codes = unique(_note_code(each) for each in format.notes)
        points = [
            Point(code, label, _note(each))
            for code, each in zip(codes, format.notes, strict=True)
        ]
    else:
        none = Point("notes", label, "There are no other rules.")
        asked = missing("notes", label, "whether there are other rules")
        points = [asked if format.notes is None else none]
    blank = f"Whether there are other rules is {ASK}"
    return Topic("notes", "What else must I know?", CONTEST, tuple(points), blank)


def _note(stated: Note) -> str:
    about = " ".join((stated.about or "").split())
    if not (stated.say or "").strip():
        return f"There is a rule about {about or 'something'}, which is {ASK}"
    rule = sentence(stated.say or "")
    return capital(f"{about}: {rule}" if about else rule)


def _note_code(stated: Note) -> str:
    # A colon would read as an entry of a list with points of its own.
    return (
        " ".join((stated.about or stated.say or "a rule").split()).casefold().replace(":", "")
    )


def route(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """The course used by riding: figures for planning, no rule."""
    figures = (
        ("trick", "a trick", "a trick, from one cut to the next,", format.route.trick_m),
        ("turn", "a turn", "a turn to change stance", format.route.turn_m),
        ("cross", "a crossing", "a crossing to the other side", format.route.cross_m),
    )
    points = tuple(
        missing(code, f"Course used by {name}", f"how much course {name} uses")
        if metres is None
        else Point(
            code,
            f"Course used by {name}",
            f"{capital(what)} uses {units.published_metres(metres)} of the course.",
        )
        for code, name, what, metres in figures
    )
    blank = f"What riding uses up is {ASK}"
    return Topic("route", "What does riding use up?", PLANNING, points, blank)


def name(format: Format) -> Topic:
    """What the format is called."""
    if format.name and format.name.strip():
        point = Point("name", "Name", f"It is called {quoted(format.name)}.")
    else:
        point = missing("name", "Name", "what the format is called")
    blank = f"What the format is called is {ASK}"
    return Topic("name", "What is this format called?", CONTEST, (point,), blank)

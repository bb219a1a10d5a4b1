"""The lists by heat: the dock starter's and the announcer's. Pure."""

from dataclasses import replace
from datetime import UTC, timedelta

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts
from runsheets.papers.paper import (
    Boxes,
    Caution,
    Cell,
    Column,
    Facts,
    Kind,
    Listing,
    ListRow,
    Look,
    Paper,
    Scope,
    Snapshot,
)
from runsheets.papers.runs import moments
from runsheets.papers.said import seat

NO_TIME = "__:__"
SCRATCHED = mark("scratched")
NOBODY = mark("There is nobody in this heat yet.")
STARTS, READY = mark("Heat starts"), mark("Ready by")
DOCK_CAUTIONS = (
    mark(
        "Nobody leaves the dock without a life vest that is closed and fits, whatever the age."
    ),
    mark("A rider under age rides only with a guardian’s consent: ask before the heat."),
    mark(
        "Keep everybody away from a propeller: the engine is in neutral, or off, while a rider "
        "is near the stern."
    ),
    mark("Local law and the people in charge of safety decide."),
)
DOCK_COLUMNS = (
    Column(mark("order"), 0.08, Look.BIG),
    Column(mark("bib"), 0.11, Look.BIG),
    Column(mark("rider"), 0.41, Look.STRONG),
    Column(mark("here"), 0.09),
    Column(mark("vest"), 0.09),
    Column(mark("guardian here"), 0.22),
)
ANNOUNCER_COLUMNS = (
    Column(mark("order"), 0.08, Look.BIG),
    Column(mark("bib"), 0.12, Look.BIG),
    Column(mark("rider"), 0.42, Look.STRONG),
    Column(mark("club"), 0.38),
)
SAY_IT = mark("how to say the name, and notes")


def dock_list(round_: RoundFacts, heat: HeatFacts) -> Paper:
    """Who is to be at the dock, in riding order, with boxes for what the starter checks.

    What is ticked in print is not part of the code: a check-in does not make a list old.
    """
    times = _times(round_, heat)
    rows = tuple(_dock_row(rider) for rider in heat.riders)
    blocks = (
        Facts(tuple(times.items())),
        Listing(_labelled(DOCK_COLUMNS), rows, empty=_(NOBODY)),
        Caution(tuple(map(_, DOCK_CAUTIONS))),
    )
    riders = {
        rider.key: seat(rider, heat, stance=rider.stance, guardian=_guardian_said(rider))
        for rider in heat.riders
    }
    return Paper(
        scope=Scope(round_.division_key, round_.round, Kind.DOCK, heat.number),
        heading=round_.heading(Kind.DOCK, heat),
        blocks=blocks,
        snapshot=Snapshot({**round_.common, **times}, riders),
        running=". ".join(f"{label}: {text.rstrip('.')}" for label, text in times.items()),
        moments=moments(round_, heat),
    )


def _labelled(columns: tuple[Column, ...]) -> tuple[Column, ...]:
    return tuple(replace(each, label=_(each.label)) for each in columns)


def _times(round_: RoundFacts, heat: HeatFacts) -> dict[str, str]:
    minutes = round_.rules.clock.ready_min
    start, ready = NO_TIME, NO_TIME
    if heat.start is not None:
        start = f"{heat.start:%H:%M}"
        # In UTC, because on a day when the clocks change an hour on the clock is no hour.
        by = heat.start.astimezone(UTC) - timedelta(minutes=minutes or 0)
        ready = NO_TIME if minutes is None else f"{by.astimezone(heat.start.tzinfo):%H:%M}"
    if minutes is None:
        early = _("{time}. The rules do not say how early.").format(time=ready)
    else:
        said = _("{time}, {minutes} min before the start.")
        early = said.format(time=ready, minutes=minutes)
    return {_(STARTS): f"{start}.", _(READY): early}


def _dock_row(rider: RiderFacts) -> ListRow:
    cells: tuple[Cell, ...] = (
        str(rider.order or ""),
        rider.bib or "–",
        _named(rider, rider.stance),
        Boxes(ticked=rider.is_checked_in),
        Boxes(),
        _guardian_cell(rider),
    )
    return ListRow(cells, rider.scratched)


def _named(rider: RiderFacts, beside: str) -> str:
    parts = (beside, _(SCRATCHED) if rider.scratched else "")
    return "\n".join((rider.name, "  ·  ".join(filter(None, parts))))


def _guardian_cell(rider: RiderFacts) -> Cell:
    if rider.needs_guardian:
        return Boxes((_("yes"), _("no")))
    return _("age not known: ask") if rider.needs_guardian is None else _("not needed")


def _guardian_said(rider: RiderFacts) -> str:
    words = {True: _("needed"), False: _("not needed"), None: _("age not known")}
    return words[rider.needs_guardian]


def announcer_list(round_: RoundFacts, heat: HeatFacts) -> Paper:
    """Who rides, with room for how to say a name. No declared run: it is not public."""
    rows = tuple(
        ListRow(
            (str(rider.order or ""), rider.bib or "–", _named(rider, rider.stance), rider.club),
            rider.scratched,
        )
        for rider in heat.riders
    )
    riders = {
        rider.key: seat(rider, heat, stance=rider.stance, club=rider.club)
        for rider in heat.riders
    }
    return Paper(
        scope=Scope(round_.division_key, round_.round, Kind.ANNOUNCER, heat.number),
        heading=round_.heading(Kind.ANNOUNCER, heat),
        blocks=(Listing(_labelled(ANNOUNCER_COLUMNS), rows, empty=_(NOBODY), ruled=_(SAY_IT)),),
        snapshot=Snapshot(round_.common, riders),
        moments=moments(round_, heat),
    )

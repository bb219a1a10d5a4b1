"""A print pack: which papers there are, in the order in which they are handed out. Pure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from events.rules.language import gettext as _
from runsheets.papers.boat import boat_sheet
from runsheets.papers.changes import changes
from runsheets.papers.facts import RoundFacts
from runsheets.papers.heading import SheetHeading, when_printed
from runsheets.papers.lists import READY, STARTS, announcer_list, dock_list
from runsheets.papers.paper import (
    JudgedRun,
    Kind,
    Paper,
    Scope,
    Snapshot,
    Words,
    WrittenRun,
    title_of,
)
from runsheets.papers.rules import rules_sheet
from runsheets.papers.runs import run_sheets, scribe_sheet

KINDS = tuple(kind for kind in Kind if kind is not Kind.CHANGES)
PER_HEAT = {Kind.SCRIBE: scribe_sheet, Kind.DOCK: dock_list, Kind.ANNOUNCER: announcer_list}
HEAT_OWN = (STARTS, READY)


@dataclass(frozen=True)
class EventFacts:
    """All rounds of an event in riding order, and each division as a whole."""

    rounds: tuple[RoundFacts, ...]
    divisions: tuple[RoundFacts, ...]


def papers_of(
    facts: EventFacts, kinds: Collection[Kind] = KINDS, *, per_judge: bool = True
) -> list[Paper]:
    """The papers of these kinds: kind by kind, and in the order in which heats are ridden."""
    return [
        paper for kind in KINDS if kind in kinds for paper in _of_kind(facts, kind, per_judge)
    ]


def _of_kind(facts: EventFacts, kind: Kind, per_judge: bool) -> Iterator[Paper]:
    if kind is Kind.RULES:
        yield from map(rules_sheet, facts.divisions)
        return
    if kind is Kind.BOAT:
        for each in sorted(facts.rounds, key=lambda each: each.turn):
            yield boat_sheet(each)
        return
    pairs = [(round_, heat) for round_ in facts.rounds for heat in round_.heats]
    for round_, heat in sorted(pairs, key=lambda pair: pair[1].turn):
        if kind is Kind.RUN_SHEETS:
            yield run_sheets(round_, heat, per_judge=per_judge)
        else:
            yield PER_HEAT[kind](round_, heat)


@dataclass(frozen=True)
class Printed:
    """A paper as it was printed."""

    scope: Scope
    code: str
    snapshot: Snapshot
    at: datetime


@dataclass(frozen=True)
class Reprint:
    """What to print again. `papers` are to be handed out; `outdated` are all papers that say
    something else than when they were last printed, with those of which nothing is left.

    `cover` tells what changed; None where nothing did.
    """

    papers: list[Paper]
    outdated: list[Paper]
    cover: Paper | None


def reprint(
    papers: Sequence[Paper],
    last: Mapping[Scope, Printed],
    wanted: Collection[Scope],
    heading: SheetHeading,
) -> Reprint:
    """What changed since the last printing of each paper.

    `papers` are all that there are of the kinds and rounds in question; only those in
    `wanted` are printed again. On sheets with runs only the riders who changed are, unless
    what concerns everybody did. `heading` is that of the page that lists the changes.
    """
    now = {paper.scope: paper for paper in papers}
    outdated = [
        paper
        for paper in papers
        if paper.scope in wanted
        and (paper.scope not in last or last[paper.scope].code != paper.code)
    ]
    gone = [each for scope, each in last.items() if scope not in now]
    if not outdated and not gone:
        return Reprint([], [], None)
    stamped = [_stamped(paper, last.get(paper.scope)) for paper in outdated]
    papers = [paper for paper in stamped if paper is not None]
    words = [*_news(outdated, now, last), *_follows(papers, last), *_gone(gone, heading)]
    cover = Paper(Scope(0, "", Kind.CHANGES), heading, tuple(words))
    return Reprint(papers, outdated, cover)


def _stamped(paper: Paper, last: Printed | None) -> Paper | None:
    """The paper with what it replaces, without riders of whom nothing changed; None if
    nobody is left on it."""
    if last is None:
        return paper
    now = paper.heading.printed_at
    when = when_printed(last.at.astimezone(now.tzinfo), now)
    heading = replace(
        paper.heading, replaces=_("Replaces the sheet printed {when}").format(when=when)
    )
    found = changes(last.snapshot, paper.snapshot)
    keys = {each.key for each in found}
    blocks = paper.blocks
    has_runs = any(isinstance(block, JudgedRun | WrittenRun) for block in blocks)
    if has_runs and "" not in keys:
        blocks = tuple(
            block
            for block in blocks
            if not isinstance(block, JudgedRun | WrittenRun) or block.key in keys
        )
        if not any(isinstance(block, JudgedRun | WrittenRun) for block in blocks):
            return None
        said = _("Replaces the sheet printed {when}, for these riders only")
        heading = replace(heading, replaces=said.format(when=when))
    return replace(paper, heading=heading, blocks=blocks)


def _news(
    outdated: Sequence[Paper], now: Mapping[Scope, Paper], last: Mapping[Scope, Printed]
) -> Iterator[Words]:
    """What changed, by division and round, each sentence once."""
    by_place: dict[str, dict[str, None]] = {}
    for group in dict.fromkeys(_group(paper.scope) for paper in outdated):
        mine = [paper for paper in outdated if _group(paper.scope) == group]
        then = {scope: each for scope, each in last.items() if _group(scope) == group}
        if not then:
            continue
        riders_then = {k: v for each in then.values() for k, v in each.snapshot.riders.items()}
        riders_now = {
            key: said
            for scope, paper in now.items()
            if _group(scope) == group
            for key, said in paper.snapshot.riders.items()
        }
        about = {key for paper in mine for key in paper.snapshot.riders}
        about |= {
            key
            for paper in mine
            if paper.scope in then
            for key in then[paper.scope].snapshot.riders
        }
        heading = replace(mine[0].heading, heat="").place
        said = by_place.setdefault(heading, {})
        for paper in mine:
            if paper.scope in then:
                said.update(dict.fromkeys(_of_everybody(then[paper.scope], paper)))
        for each in changes(Snapshot({}, riders_then), Snapshot({}, riders_now)):
            if each.key in about:
                said[each.sentence] = None
    for heading, sentences in by_place.items():
        if sentences:
            yield Words(heading, tuple(sentences))


def _of_everybody(then: Printed, paper: Paper) -> Iterator[str]:
    for each in changes(Snapshot(then.snapshot.paper), Snapshot(paper.snapshot.paper)):
        is_own = each.label in map(_, HEAT_OWN) and paper.heading.heat
        yield f"{paper.heading.heat}: {each.sentence}" if is_own else each.sentence


def _group(scope: Scope) -> tuple[int, str, Kind]:
    return (scope.division, scope.round, scope.kind)


def _follows(papers: Sequence[Paper], last: Mapping[Scope, Printed]) -> Iterator[Words]:
    sentences = []
    for paper in papers:
        known = paper.scope in last
        stamp = paper.heading.replaces if known else _("Not printed before")
        sentences.append(f"{paper.heading.title}, {paper.heading.place}: {_small(stamp)}.")
    if sentences:
        yield Words(_("Sheets that follow"), tuple(sentences))


def _gone(gone: Sequence[Printed], heading: SheetHeading) -> Iterator[Words]:
    sentences = []
    for each in gone:
        when = when_printed(each.at.astimezone(heading.printed_at.tzinfo), heading.printed_at)
        heat = _("heat {number}").format(number=each.scope.heat) if each.scope.heat else ""
        division = str(each.snapshot.paper.get("division", ""))
        place = ", ".join(filter(None, (division, each.scope.round, heat)))
        said = _("{paper}, {place}, printed {when}.")
        sentences.append(said.format(paper=title_of(each.scope.kind), place=place, when=when))
    if sentences:
        yield Words(_("No longer ridden like this: throw these sheets away"), tuple(sentences))


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]

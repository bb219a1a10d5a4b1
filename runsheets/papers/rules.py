"""The rules sheet: the format as questions and answers, for the board at the dock. Pure."""

from events.rules.answers import Answer, answers
from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.facts import RoundFacts
from runsheets.papers.paper import PAPER, Kind, Paper, Scope, Snapshot, Square, Words

SCAN = mark("The same rules, and what changed in them, on the public page:")
NOT_PUBLIC = mark("The event has no public page yet; ask the organiser.")
DIFFERS = mark("What differs in some rounds or boats?")
FIRST = mark("What comes before every rule here?")
TOWING = mark(
    "The boat’s capacity plate, local law, and what the driver and qualified people say. Ride "
    "only what you have learnt; everybody in the water wears a life vest."
)


def rules_sheet(round_: RoundFacts) -> Paper:
    """What holds in the division, all rounds on one sheet, with a way to the public page."""
    said = answers(round_.rules, deadline_text=round_.deadline)
    words = [Words(each.question, each.sentences) for each in said if _worth_saying(each)]
    if round_.differs:
        words.append(Words(_(DIFFERS), round_.differs))
    address = round_.address
    where = (Square(address, _(SCAN)),) if address else (Words(_(NOT_PUBLIC), ()),)
    facts = {each.heading: " ".join(each.sentences) for each in words}
    return Paper(
        scope=Scope(round_.division_key, "", Kind.RULES),
        heading=round_.heading(Kind.RULES),
        blocks=(*where, Words(_(FIRST), (_(TOWING),)), *words),
        snapshot=Snapshot({**round_.common, **facts}),
        columns=2,
        moments={PAPER: round_.published_at} if round_.published_at else {},
    )


def _worth_saying(answer: Answer) -> bool:
    """Whether it is stated, or would be missed: a name and further notes would not."""
    return answer.stated or answer.code not in ("name", "notes")

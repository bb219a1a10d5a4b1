"""The sentences of the rule on limits: a trick too many, too few of them, a limit in short."""

from events.rules.answers_words import capital, ordinal
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import Limit
from events.rules.subject import spelled
from events.rules.words import Breach, UsedBy

# What a trick is that should not be there at all: tried, and where only landed ones matter.
BANNED: dict[Breach | None, tuple[str, str]] = {
    Breach.NOT_COUNTED: (
        mark("{trick} is not counted."),
        mark("{trick} is not counted if landed."),
    ),
    Breach.FOR_INFORMATION: (
        mark("{trick} is beyond what is meant for this division."),
        mark("{trick} is beyond what is meant for this division if landed."),
    ),
    Breach.JUDGES_DECIDE: (
        mark("The judges decide on {trick}."),
        mark("The judges decide on {trick} if landed."),
    ),
}
NOT_ALLOWED = (mark("{trick} is not allowed."), mark("{trick} is not allowed if landed."))
EFFECTS: dict[Breach | None, str] = {
    Breach.MOVED_UP: mark("The rider is moved up a division."),
    Breach.DISQUALIFIED: mark("The rider is disqualified."),
}
# What then becomes of a trick beyond a limit.
MOST_EFFECTS: dict[Breach | None, str] = {
    **EFFECTS,
    Breach.NOT_COUNTED: mark("It is not counted."),
    Breach.FOR_INFORMATION: mark("It is beyond what is meant for this division."),
    Breach.JUDGES_DECIDE: mark("The judges decide on it."),
}
LEAST_EFFECTS: dict[Breach | None, str] = {
    **EFFECTS,
    Breach.JUDGES_DECIDE: mark("The judges decide on it."),
    Breach.NOT_COUNTED: mark("What is then not counted is for the organiser to say."),
    Breach.FOR_INFORMATION: mark("For information only."),
}


def one_too_many(limit: Limit, trick: str, number: int) -> str:
    """What a trick is that is the `number`th of those that a limit counts."""
    landed = limit.used_by is UsedBy.LANDED
    if limit.most == 0:
        banned = BANNED.get(limit.breach, NOT_ALLOWED)[landed]
        found, effect = _(banned).format(trick=trick), EFFECTS.get(limit.breach)
    else:
        most = _at_most(limit.most or 0, landed)
        found = f"{_one_more(limit, trick, number)}; {most}."
        effect = MOST_EFFECTS.get(limit.breach)
    return _with_words(capital(found), limit, effect)


def too_few(limit: Limit, pass_no: int | None, number: int) -> str:
    """What is asked for where only `number` tricks are there, in a pass or in the run."""
    said = _few(number, limit.differs_by is not None, pass_no is not None)
    found = said.format(number=spelled(number), pass_no=pass_no, least=limit.least)
    return _with_words(capital(found), limit, LEAST_EFFECTS.get(limit.breach))


def in_short(limit: Limit, bound: str = "") -> str:
    """The organiser's own words for a limit, else `bound`, else how many at most."""
    if limit.say:
        return _quoted(limit)
    return bound or _("Limit of at most {number}").format(number=limit.most)


def _one_more(limit: Limit, trick: str, number: int) -> str:
    said = (
        _("{trick} is the {ordinal} such trick")
        if limit.differs_by is None
        else _("{trick} is the {ordinal} such trick that is the same")
    )
    return said.format(trick=trick, ordinal=ordinal(number))


def _at_most(number: int, landed: bool) -> str:
    said = (
        ngettext(
            "at most {number} such trick landed", "at most {number} such tricks landed", number
        )
        if landed
        else ngettext("at most {number} such trick", "at most {number} such tricks", number)
    )
    return said.format(number=spelled(number))


def _with_words(found: str, limit: Limit, effect: str | None) -> str:
    """What was found, the organiser's own words, and what comes of it."""
    sentences = (found, _quoted(limit), _(effect) if effect else "")
    return " ".join(each for each in sentences if each)


def _quoted(limit: Limit) -> str:
    return _("“{words}”").format(words=limit.say) if limit.say else ""


def _few(number: int, different: bool, in_pass: bool) -> str:
    if different and in_pass:
        return ngettext(
            "{number} different such trick in pass {pass_no}, at least {least} asked.",
            "{number} different such tricks in pass {pass_no}, at least {least} asked.",
            number,
        )
    if different:
        return ngettext(
            "{number} different such trick in the run, at least {least} asked.",
            "{number} different such tricks in the run, at least {least} asked.",
            number,
        )
    if in_pass:
        return ngettext(
            "{number} such trick in pass {pass_no}, at least {least} asked.",
            "{number} such tricks in pass {pass_no}, at least {least} asked.",
            number,
        )
    return ngettext(
        "{number} such trick in the run, at least {least} asked.",
        "{number} such tricks in the run, at least {least} asked.",
        number,
    )

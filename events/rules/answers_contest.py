"""What riders read about the contest: rounds and who may ride."""

from collections.abc import Iterator

from events.rules.answers_words import (
    Point,
    Topic,
    all_missing,
    capital,
    in_points,
    joined,
    missing,
    number,
    sentence,
    unique,
)
from events.rules.dates import weekday
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.staging import Eligibility, Round
from events.rules.words import (
    AdvanceFrom,
    AgeOn,
    Below,
    Beyond,
    Late,
    RidingOrder,
    RoundKind,
    RunAgain,
    Sex,
    Ties,
)

CONTEST = mark("The contest")

_KINDS = {
    RoundKind.QUALIFYING: mark("this is a qualifying round"),
    RoundKind.LAST_CHANCE: mark("this is a last-chance round"),
    RoundKind.SEMI_FINAL: mark("this is a semi-final"),
    RoundKind.FINAL: mark("this is a final"),
}
_KIND_NAMES = {
    RoundKind.QUALIFYING: mark("Qualifying"),
    RoundKind.LAST_CHANCE: mark("Last chance"),
    RoundKind.SEMI_FINAL: mark("Semi-final"),
    RoundKind.FINAL: mark("Final"),
}
_TIES = {
    Ties.ALL_ADVANCE: mark("all who tie for the last place go on"),
    Ties.RIDE_OFF: mark("a tie for the last place is settled by a ride-off"),
    Ties.JUDGES_DECIDE: mark("the judges decide a tie for the last place"),
}
_ORDERS = {
    RidingOrder.ALPHABETICAL: mark("the riding order is alphabetical"),
    RidingOrder.RANDOM: mark("the riding order is drawn at random"),
    RidingOrder.RANKING: mark("the riding order is the ranking, best last"),
    RidingOrder.REVERSE: mark("the riding order is the reverse of the last round's result"),
    RidingOrder.BY_HAND: mark("the riding order is set by the organiser"),
}
_RUNS = {
    RunAgain.NEW: mark("you ride a new run"),
    RunAgain.SAME: mark("you ride the same run as before"),
}
_LATE = {
    Late.POINTS: mark("a rider who is not ready loses points"),
    Late.LAST_IN_HEAT: mark("a rider who is not ready is moved to last in the heat"),
    Late.NOT_RIDDEN: mark("a rider who is not ready does not ride"),
}
_SEXES = {
    Sex.OPEN: mark("Open to women and men."),
    Sex.WOMEN: mark("For women only."),
    Sex.MEN: mark("For men only."),
}
_AGE_ON = {
    AgeOn.NEW_YEAR: mark("Age is taken on 1 January of the year."),
    AgeOn.YEAR_END: mark("Age is taken on 31 December of the year."),
    AgeOn.FIRST_DAY: mark("Age is taken on the first day of the event."),
    AgeOn.BIRTH_YEAR: mark("Age is the year of the event less the year of birth."),
}
_BEYOND = {
    Beyond.WAITING_LIST: mark("further entries go on a waiting list"),
    Beyond.BY_LOT: mark("if more enter, places are drawn by lot"),
    Beyond.REFUSED: mark("further entries are refused"),
}
_BELOW = {
    Below.JOINED: (
        mark("With fewer, it is joined with another division."),
        mark("With too few riders, it is joined with another division."),
    ),
    Below.NOT_RIDDEN: (
        mark("With fewer, it is not ridden."),
        mark("With too few riders, it is not ridden."),
    ),
    Below.ORGANISER: (
        mark("With fewer, the organiser decides."),
        mark("With too few riders, the organiser decides."),
    ),
}


def rounds(format: Format) -> Topic:
    """The rounds, and for each: heats, who goes on, order of riding, and lateness."""
    if format.rounds is None:
        points = [missing("rounds", _("Rounds"), _("how many rounds there are"))]
    elif not format.rounds:
        points = [Point("rounds", _("Rounds"), _("The contest is not divided into rounds."))]
    else:
        points = list(_rounds(format.rounds))
    blank = _("How many rounds there are is not stated: ask the organiser.")
    return Topic("rounds", _("How many rounds?"), _(CONTEST), tuple(points), blank)


def _rounds(stated: tuple[Round, ...]) -> Iterator[Point]:
    titles = [_title(each, no) for no, each in enumerate(stated, 1)]
    text = ngettext(
        "There is {number} round: {names}.", "There are {number} rounds: {names}.", len(stated)
    ).format(number=number(len(stated)), names=joined(titles))
    yield Point("rounds", _("Rounds"), text)
    for code, title, each in zip(
        unique(map(str.casefold, titles)), titles, stated, strict=True
    ):
        start = capital(title)
        for name, clause, known in _clauses(each):
            yield Point(
                f"{code}: {name}",
                _("Round {name}").format(name=title),
                f"{start}: {clause}.",
                known,
            )
        things = _open(each, last=each is stated[-1])
        yield from all_missing(
            f"{code}: open",
            _("Round {name}").format(name=title),
            things,
            f"{title}: ",
        )


def _title(stated: Round, position: int) -> str:
    name = " ".join((stated.name or "").split())
    if name:
        return name
    if stated.kind is not None:
        return _(_KIND_NAMES[stated.kind])
    return _("Round {name}").format(name=position)


def _clauses(stated: Round) -> Iterator[tuple[str, str, bool]]:
    if stated.kind is not None and stated.name and stated.name.casefold() != stated.kind:
        yield "kind", _(_KINDS[stated.kind]), True
    if stated.heat_size is not None:
        yield (
            "heat",
            ngettext(
                "at most {number} rider in a heat",
                "at most {number} riders in a heat",
                stated.heat_size,
            ).format(number=number(stated.heat_size)),
            True,
        )
    if stated.advance is not None:
        yield "advance", _advancing(stated.advance, stated.advance_from), True
    if stated.ties is not None:
        yield "ties", _(_TIES[stated.ties]), True
    if stated.order is not None:
        yield "order", _(_ORDERS[stated.order]), True
    if stated.run is not None:
        yield "run", _(_RUNS[stated.run]), True
    if stated.best_of is not None:
        one = _("you ride one run, and it counts")
        several = _("you ride {number} runs, and the best counts").format(
            number=number(stated.best_of)
        )
        yield "best", one if stated.best_of == 1 else several, True
    if stated.late is not None or stated.late_points is not None:
        yield "late", _late(stated), True


def _advancing(advance: int, source: AdvanceFrom | None) -> str:
    if advance == 0:
        return _("nobody goes on from it")
    many = {"number": number(advance)}
    if source is None:
        return ngettext(
            "the best rider goes on; whether of each heat or of the round is not stated",
            "the best {number} go on; whether of each heat or of the round is not stated",
            advance,
        ).format(**many)
    if source is AdvanceFrom.EACH_HEAT:
        return ngettext(
            "the best rider of each heat goes on",
            "the best {number} of each heat go on",
            advance,
        ).format(**many)
    return ngettext(
        "the best rider of the round goes on", "the best {number} of the round go on", advance
    ).format(**many)


def _late(stated: Round) -> str:
    if stated.late_points is None:
        return _(_LATE[stated.late]) if stated.late is not None else ""
    points = in_points(stated.late_points)
    if stated.late is Late.POINTS:
        return _("a rider who is not ready loses {points}").format(points=points)
    if stated.late is None:
        said = _(
            "for a rider who is not ready {points} off is stated, but not whether it is applied"
        )
        return said.format(points=points)
    return _("{what}; {points} off is stated, but not applied").format(
        what=_(_LATE[stated.late]), points=points
    )


def _open(stated: Round, last: bool) -> list[str]:
    asked: list[tuple[str, object]] = [
        (_("how many ride in a heat"), stated.heat_size),
        (_("how the riding order is found"), stated.order),
        (_("whether you ride a new run"), stated.run),
        (_("what happens to a rider who is not ready"), stated.late),
    ]
    if stated.advance_from is not None:
        how_many = (
            _("how many of each heat go on")
            if stated.advance_from is AdvanceFrom.EACH_HEAT
            else _("how many of the round go on")
        )
        asked.insert(1, (how_many, stated.advance))
    elif not last:
        asked.insert(1, (_("how many go on"), stated.advance))
    if stated.advance:
        asked.insert(2, (_("what a tie for the last place does"), stated.ties))
    if stated.late is Late.POINTS:
        asked.append((_("how many points a late rider loses"), stated.late_points))
    return [what for what, value in asked if value is None]


def eligibility(format: Format) -> Topic:
    """Who may enter, and how many."""
    return Topic(
        "who",
        _("Who may ride?"),
        _(CONTEST),
        tuple(_eligibility(format.division)),
        _("Who may ride is not stated: ask the organiser."),
    )


def _eligibility(stated: Eligibility) -> Iterator[Point]:
    if stated.ability and stated.ability.strip():
        yield Point(
            "ability",
            _("Ability"),
            sentence(_("Meant for: {whom}").format(whom=stated.ability)),
        )
    if stated.sex is not None:
        yield Point("sex", _("Women and men"), _(_SEXES[stated.sex]))
    if ages := _ages(stated):
        yield Point("age", _("Age"), ages)
    if age_on := _age_on(stated):
        yield Point("age-on", _("Age taken on"), age_on)
    yield from _numbers(stated)
    if stated.several is not None:
        text = (
            _("You may enter other divisions too.")
            if stated.several
            else _("You may not enter another division as well.")
        )
        yield Point("several", _("Other divisions"), text)
    asked = (
        (_("whether women and men may enter"), stated.sex),
        (_("which ages may enter"), ages or None),
        (_("on which day age is taken"), age_on or (None if ages else "not asked")),
        (_("how many may enter"), stated.entries_most),
        (_("how few riders are enough"), stated.riders_least),
        (_("whether you may enter other divisions too"), stated.several),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("open", _("Who may ride"), things)


def _ages(stated: Eligibility) -> str:
    least, most = stated.age_least, stated.age_most
    if least is not None and most is not None:
        if least == most:
            return _("For riders aged {age}.").format(age=least)
        return _("For riders aged {least} to {most}.").format(least=least, most=most)
    if least is not None:
        return _("For riders aged {least} or more.").format(least=least)
    return "" if most is None else _("For riders aged {most} or less.").format(most=most)


def _age_on(stated: Eligibility) -> str:
    if stated.age_on is None:
        return (
            ""
            if stated.age_date is None
            else _("Age is taken on {day}.").format(day=weekday(stated.age_date))
        )
    if stated.age_on is AgeOn.OWN_DATE:
        if stated.age_date is None:
            return _(
                "Age is taken on a date of its own, which is not stated: ask the organiser."
            )
        return _("Age is taken on {day}.").format(day=weekday(stated.age_date))
    text = _(_AGE_ON[stated.age_on])
    if stated.age_date is None:
        return text
    return _("{text} The date {day} is stated too, but does not decide.").format(
        text=text, day=weekday(stated.age_date)
    )


def _numbers(stated: Eligibility) -> Iterator[Point]:
    most, least = stated.entries_most, stated.riders_least
    if most is not None:
        yield Point(
            "most",
            _("Entries"),
            ngettext(
                "At most {number} rider may enter.", "At most {number} riders may enter.", most
            ).format(number=number(most)),
        )
    if stated.first_come is not None:
        text = ngettext(
            "{number} place goes to those who enter first.",
            "{number} places go to those who enter first.",
            stated.first_come,
        ).format(number=capital(number(stated.first_come)))
        yield Point("first-come", _("Places, first come"), text)
    if stated.beyond is not None:
        yield Point("beyond", _("Entries beyond"), f"{capital(_(_BEYOND[stated.beyond]))}.")
    elif most is not None:
        yield missing("beyond", _("Entries beyond"), _("what happens to further entries"))
    if least is not None:
        text = ngettext(
            "It is ridden with {number} rider or more.",
            "It is ridden with {number} riders or more.",
            least,
        ).format(number=number(least))
        yield Point(
            "least", _("Riders needed"), text if least else _("It is ridden by any number.")
        )
    if stated.below is not None:
        few, too_few = _BELOW[stated.below]
        yield Point("below", _("Too few riders"), _(few if least is not None else too_few))
    elif least:
        yield missing("below", _("Too few riders"), _("what happens with fewer riders"))

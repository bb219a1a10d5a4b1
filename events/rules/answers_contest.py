"""What riders read about the contest: rounds and who may ride."""

from collections.abc import Iterator

from events.rules.answers_words import (
    ASK,
    Point,
    Topic,
    all_missing,
    capital,
    count,
    day,
    joined,
    measure,
    missing,
    number,
    sentence,
    unique,
)
from events.rules.format import Format
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

CONTEST = "The contest"

_KINDS = {
    RoundKind.QUALIFYING: "a qualifying round",
    RoundKind.LAST_CHANCE: "a last-chance round",
    RoundKind.SEMI_FINAL: "a semi-final",
    RoundKind.FINAL: "a final",
}
_TIES = {
    Ties.ALL_ADVANCE: "all who tie for the last place go on",
    Ties.RIDE_OFF: "a tie for the last place is settled by a ride-off",
    Ties.JUDGES_DECIDE: "the judges decide a tie for the last place",
}
_ORDERS = {
    RidingOrder.ALPHABETICAL: "the riding order is alphabetical",
    RidingOrder.RANDOM: "the riding order is drawn at random",
    RidingOrder.RANKING: "the riding order is the ranking, best last",
    RidingOrder.REVERSE: "the riding order is the reverse of the last round's result",
    RidingOrder.BY_HAND: "the riding order is set by the organiser",
}
_RUNS = {
    RunAgain.NEW: "you ride a new run",
    RunAgain.SAME: "you ride the same run as before",
}
_LATE = {
    Late.POINTS: "loses points",
    Late.LAST_IN_HEAT: "is moved to last in the heat",
    Late.NOT_RIDDEN: "does not ride",
}
_SEXES = {
    Sex.OPEN: "Open to women and men.",
    Sex.WOMEN: "For women only.",
    Sex.MEN: "For men only.",
}
_AGE_ON = {
    AgeOn.NEW_YEAR: "Age is taken on 1 January of the year.",
    AgeOn.YEAR_END: "Age is taken on 31 December of the year.",
    AgeOn.FIRST_DAY: "Age is taken on the first day of the event.",
    AgeOn.BIRTH_YEAR: "Age is the year of the event less the year of birth.",
}
_BEYOND = {
    Beyond.WAITING_LIST: "further entries go on a waiting list",
    Beyond.BY_LOT: "if more enter, places are drawn by lot",
    Beyond.REFUSED: "further entries are refused",
}
_BELOW = {
    Below.JOINED: "it is joined with another division",
    Below.NOT_RIDDEN: "it is not ridden",
    Below.ORGANISER: "the organiser decides",
}


def rounds(format: Format) -> Topic:
    """The rounds, and for each: heats, who goes on, order of riding, and lateness."""
    if format.rounds is None:
        points = [missing("rounds", "Rounds", "how many rounds there are")]
    elif not format.rounds:
        points = [Point("rounds", "Rounds", "The contest is not divided into rounds.")]
    else:
        points = list(_rounds(format.rounds))
    blank = f"How many rounds there are is {ASK}"
    return Topic("rounds", "How many rounds?", CONTEST, tuple(points), blank)


def _rounds(stated: tuple[Round, ...]) -> Iterator[Point]:
    titles = [_title(each, no) for no, each in enumerate(stated, 1)]
    verb = "is" if len(stated) == 1 else "are"
    text = f"There {verb} {count(len(stated), 'round')}: {joined(titles)}."
    yield Point("rounds", "Rounds", text)
    for code, title, each in zip(
        unique(map(str.casefold, titles)), titles, stated, strict=True
    ):
        start = capital(title)
        for name, clause, known in _clauses(each):
            yield Point(f"{code}: {name}", f"Round {title}", f"{start}: {clause}.", known)
        things = _open(each, last=each is stated[-1])
        yield from all_missing(f"{code}: open", f"Round {title}", things, f"{title}: ")


def _title(stated: Round, position: int) -> str:
    name = " ".join((stated.name or "").split())
    return name or capital(stated.kind or f"round {position}")


def _clauses(stated: Round) -> Iterator[tuple[str, str, bool]]:
    if stated.kind is not None and stated.name and stated.name.casefold() != stated.kind:
        yield "kind", f"this is {_KINDS[stated.kind]}", True
    if stated.heat_size is not None:
        yield "heat", f"at most {count(stated.heat_size, 'rider')} in a heat", True
    if stated.advance is not None:
        yield "advance", _advancing(stated.advance, stated.advance_from), True
    if stated.ties is not None:
        yield "ties", _TIES[stated.ties], True
    if stated.order is not None:
        yield "order", _ORDERS[stated.order], True
    if stated.run is not None:
        yield "run", _RUNS[stated.run], True
    if stated.best_of is not None:
        one = "you ride one run, and it counts"
        several = f"you ride {count(stated.best_of, 'run')}, and the best counts"
        yield "best", one if stated.best_of == 1 else several, True
    if stated.late is not None or stated.late_points is not None:
        yield "late", _late(stated), True


def _advancing(advance: int, source: AdvanceFrom | None) -> str:
    if advance == 0:
        return "nobody goes on from it"
    best = "the best rider" if advance == 1 else f"the best {number(advance)}"
    verb = "goes" if advance == 1 else "go"
    if source is None:
        return f"{best} {verb} on; whether of each heat or of the round is not stated"
    return f"{best} of {source} {verb} on"


def _late(stated: Round) -> str:
    who = "a rider who is not ready"
    if stated.late_points is None:
        return f"{who} {_LATE[stated.late]}" if stated.late is not None else ""
    points = measure(stated.late_points, "point")
    if stated.late is Late.POINTS:
        return f"{who} loses {points}"
    if stated.late is None:
        return f"for {who} {points} off is stated, but not whether it is applied"
    return f"{who} {_LATE[stated.late]}; {points} off is stated, but not applied"


def _open(stated: Round, last: bool) -> list[str]:
    asked: list[tuple[str, object]] = [
        ("how many ride in a heat", stated.heat_size),
        ("how the riding order is found", stated.order),
        ("whether you ride a new run", stated.run),
        ("what happens to a rider who is not ready", stated.late),
    ]
    if stated.advance_from is not None:
        asked.insert(1, (f"how many of {stated.advance_from} go on", stated.advance))
    elif not last:
        asked.insert(1, ("how many go on", stated.advance))
    if stated.advance:
        asked.insert(2, ("what a tie for the last place does", stated.ties))
    if stated.late is Late.POINTS:
        asked.append(("how many points a late rider loses", stated.late_points))
    return [what for what, value in asked if value is None]


def eligibility(format: Format) -> Topic:
    """Who may enter, and how many."""
    return Topic(
        "who",
        "Who may ride?",
        CONTEST,
        tuple(_eligibility(format.division)),
        f"Who may ride is {ASK}",
    )


def _eligibility(stated: Eligibility) -> Iterator[Point]:
    if stated.ability and stated.ability.strip():
        yield Point("ability", "Ability", sentence(f"Meant for: {stated.ability}"))
    if stated.sex is not None:
        yield Point("sex", "Women and men", _SEXES[stated.sex])
    if ages := _ages(stated):
        yield Point("age", "Age", ages)
    if age_on := _age_on(stated):
        yield Point("age-on", "Age taken on", age_on)
    yield from _numbers(stated)
    if stated.several is not None:
        text = (
            "You may enter other divisions too."
            if stated.several
            else "You may not enter another division as well."
        )
        yield Point("several", "Other divisions", text)
    asked = (
        ("whether women and men may enter", stated.sex),
        ("which ages may enter", ages or None),
        ("on which day age is taken", age_on or (None if ages else "not asked")),
        ("how many may enter", stated.entries_most),
        ("how few riders are enough", stated.riders_least),
        ("whether you may enter other divisions too", stated.several),
    )
    things = [what for what, value in asked if value is None]
    yield from all_missing("open", "Who may ride", things)


def _ages(stated: Eligibility) -> str:
    least, most = stated.age_least, stated.age_most
    if least is not None and most is not None:
        span = f"{least}" if least == most else f"{least} to {most}"
        return f"For riders aged {span}."
    if least is not None:
        return f"For riders aged {least} or more."
    return "" if most is None else f"For riders aged {most} or less."


def _age_on(stated: Eligibility) -> str:
    if stated.age_on is None:
        return "" if stated.age_date is None else f"Age is taken on {day(stated.age_date)}."
    if stated.age_on is AgeOn.OWN_DATE:
        if stated.age_date is None:
            return f"Age is taken on a date of its own, which is {ASK}"
        return f"Age is taken on {day(stated.age_date)}."
    text = _AGE_ON[stated.age_on]
    if stated.age_date is None:
        return text
    return f"{text} The date {day(stated.age_date)} is stated too, but does not decide."


def _numbers(stated: Eligibility) -> Iterator[Point]:
    most, least = stated.entries_most, stated.riders_least
    if most is not None:
        yield Point("most", "Entries", f"At most {count(most, 'rider')} may enter.")
    if stated.first_come is not None:
        places = count(stated.first_come, "place")
        goes = "goes" if stated.first_come == 1 else "go"
        text = f"{capital(places)} {goes} to those who enter first."
        yield Point("first-come", "Places, first come", text)
    if stated.beyond is not None:
        yield Point("beyond", "Entries beyond", f"{capital(_BEYOND[stated.beyond])}.")
    elif most is not None:
        yield missing("beyond", "Entries beyond", "what happens to further entries")
    if least is not None:
        text = f"It is ridden with {count(least, 'rider')} or more."
        yield Point("least", "Riders needed", text if least else "It is ridden by any number.")
    if stated.below is not None:
        few = "With fewer" if least is not None else "With too few riders"
        yield Point("below", "Too few riders", f"{few}, {_BELOW[stated.below]}.")
    elif least:
        yield missing("below", "Too few riders", "what happens with fewer riders")

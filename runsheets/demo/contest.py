"""The demo's contest that is under way: rides, marks, a posted result, the final's order.

All of it goes through the services of the table; only the moments are put back afterwards
to when it would have happened.
"""

from datetime import datetime, timedelta
from typing import Any

from events.models import Division, Event
from events.rules.notation import read_run
from events.rules.words import RidingOrder
from riders.models import Entry
from riders.services import wording
from runsheets.days import Shift, plan_version, shift_heat
from runsheets.demo.plot import Days
from runsheets.judging.scoring import Scoring
from runsheets.models import Heat, Judge, Mark, RiddenTrick, Ride, RoundResult, RunningOrder
from runsheets.next_round import before
from runsheets.orders import make_order, order_version, publish_order
from runsheets.result_acts import post_result
from runsheets.ride_sheet import Kind, key, trick_value
from runsheets.rides import Typed, correct_heat, save_ride, set_judges
from runsheets.schedule import schedule_of

Outcome = RiddenTrick.Outcome
OUTCOMES = {"l": Outcome.LANDED, "f": Outcome.FALLEN, "n": Outcome.NOT_REACHED}
ONE_RUN = timedelta(minutes=8)


def ride_contest(said: dict[str, Any], event: Event, by: Any, days: Days) -> None:
    """Ride a round as the story says, post its result, and put the final into order."""
    set_judges(event=event, names=said["judges"], read="", by=by)
    order = RunningOrder.objects.get(
        division__event=event, division__slug=said["division"], round_name=said["round"]
    )
    entries = _entries(order, event, said)
    for heat, clocks in zip(order.heats.all(), said["heats"], strict=True):
        begun, ended = (
            days.moment({"day": said["day"], "at": clocks[at]}) for at in ("begun", "ended")
        )
        correct_heat(heat=heat, begun=begun, ended=ended, by=by)
        for turn, slot in enumerate(heat.slots.all()):
            _ride(entries[slot.entry_id], slot.entry, order, begun + turn * ONE_RUN, by)
    posted = post_result(order=order, by=by)
    RoundResult.objects.filter(pk=posted.pk).update(posted_at=days.moment(said["posted"]))
    _final(said["final"], order.division, by, days)


def _entries(
    order: RunningOrder, event: Event, said: dict[str, Any]
) -> dict[int, dict[str, Any]]:
    """What the story tells of each entry, found by the rider's address for signing in."""
    told = {each["rider"]: each for each in said["rides"]}
    users = order.slots.values_list("entry", "entry__rider__user__username")
    return {entry: told[name.removeprefix("demo-")] for entry, name in users}


def _ride(
    said: dict[str, Any], entry: Entry, order: RunningOrder, at: datetime, by: Any
) -> None:
    typed = {key(Kind.RIDE, "state"): _new(said.get("state", Ride.State.DONE), "waiting")}
    if "points_off" in said:
        typed[key(Kind.RIDE, "points_off")] = _new(str(said["points_off"]), "0")
        typed[key(Kind.RIDE, "points_reason")] = _new(said["points_reason"])
    typed |= _tricks(said, entry, order.round_name)
    typed |= _marks(said, order)
    save_ride(order=order, entry=entry, number=1, typed=typed, by=by)
    ride = Ride.objects.get(order=order, entry=entry)
    if ride.state == Ride.State.DONE:
        end = at + ONE_RUN
        Ride.objects.filter(pk=ride.pk).update(begun_at=at, ended_at=end)
        RiddenTrick.objects.filter(ride=ride).update(changed_at=end)
        Mark.objects.filter(ride=ride).update(changed_at=end)


def _tricks(said: dict[str, Any], entry: Entry, name: str) -> dict[str, Typed]:
    """What became of each declared trick; a line too short or too long is an error."""
    if "tricks" not in said:
        return {}
    declared = entry.declarations.in_force().get(round_name=name)
    typed = {}
    for number, told in enumerate(said["tricks"], start=1):
        places = [p for p in read_run(declared.notation).places() if p.pass_no == number]
        for each, letter in zip(places, told, strict=True):
            other = said.get("instead", {}).get(f"{number}.{each.position}", "")
            value = trick_value(OUTCOMES[letter], other, wording(each.planned))
            at = key(Kind.TRICK, number, each.planned.bonus, each.position)
            typed[at] = _new(value)
    return typed


def _marks(said: dict[str, Any], order: RunningOrder) -> dict[str, Typed]:
    edition = order.division.edition
    if edition is None or "marks" not in said:
        return {}
    criteria = Scoring.of(edition.effective(order.round_name)).criteria
    typed = {}
    judges = Judge.objects.filter(event=order.division.event)
    for judge, line in zip(judges, said["marks"], strict=True):
        for each, mark in zip(criteria, line.split(), strict=True):
            at = key(Kind.MARK, judge.pk, each.name, judge.number)
            typed[at] = _new(mark)
    return typed


def _new(value: str, read: str = "") -> Typed:
    return Typed(read=read, read_version=0, value=str(value))


def _final(said: dict[str, Any], division: Division, by: Any, days: Days) -> None:
    """The order of the final from the result: the best rides last, on its own day."""
    going = before(division, said["round"])
    if going is None:
        return
    order = make_order(
        division=division,
        round_name=said["round"],
        method=RidingOrder.REVERSE,
        ranking=going.ranking,
        entries=[row.entry.pk for row in going.chosen],
        by=by,
    )
    publish_order(order=order, public=True, version=order_version(order), by=by)
    event = division.event
    for heat in Heat.objects.filter(order=order):
        shift_heat(
            event=event,
            heat_id=heat.pk,
            shift=Shift.ON,
            day=days.day(said["day"]),
            version=plan_version(schedule_of(event)),
            by=by,
        )

"""Better orders found step by step: two tricks exchanged, or one moved, while that helps."""

from collections.abc import Iterator
from itertools import chain
from math import inf
from random import Random

from events.rules.run import Pass, Run
from riders.planning.course import Course
from riders.planning.falls import Progress
from riders.planning.ground import Goal
from riders.planning.handover import Handover, PassOrders

RESTARTS = 2
MOST_FIGURED = 500  # orders whose whole figures are worked out, about a second's work

Orders = tuple[tuple[int, ...], ...]


def arranged(run: Run, course: Course, orders: Orders) -> Run:
    """The run with the tricks of its passes in these orders."""
    return Run(tuple(
        Pass(tuple(course.tricks[at] for at in order), each.bonus, each.run_in_falls,
             each.turn_falls)
        for each, order in zip(run.passes, orders, strict=True)
    ))  # fmt: skip


def given_orders(run: Run) -> Orders:
    """The orders as planned."""
    first, orders = 0, []
    for each in run.passes:
        orders.append(tuple(range(first, first + len(each.tricks))))
        first += len(each.tricks)
    return tuple(orders)


def rounded(value: float) -> float:
    """Eleven digits: sums that only differ in the order of adding become equal."""
    return float(f"{value:.10e}")


class Exchange:
    """Orders compared one by one; what a pass hands on is worked out once for each order."""

    def __init__(self, run: Run, course: Course) -> None:
        self.run, self.course, self.given, self.looks = (
            run,
            course,
            given_orders(run),
            course.looks(),
        )
        self.at_start = [trick for order in self.given for trick in order]
        self.known: dict[tuple[int, tuple[int, ...], Progress], Handover] = {}

    def key(self, orders: Orders) -> tuple[float, float, int]:
        """What the best order has least of."""
        setup_m = sum(
            self.ridden(at, order, self.course.entry).setup_m for at, order in enumerate(orders)
        )
        moved = sum(
            self.looks[old] != self.looks[new]
            for old, new in zip(self.at_start, chain(*orders), strict=True)
        )
        return -rounded(self.value(orders)), round(setup_m, 6), moved

    def value(self, orders: Orders) -> float:
        """The goal's figure, from what each pass gains and hands on."""
        weights, value = {self.course.entry: 1.0}, 0.0
        for at, order in enumerate(orders):
            onwards: dict[Progress, float] = {}
            for entry, weight in weights.items():
                ridden = self.ridden(at, order, entry)
                value += weight * ridden.gains[0]
                for way, share in ridden.exits[0].items():
                    onwards[way] = onwards.get(way, 0.0) + weight * share
            weights = onwards
        if self.course.goal is Goal.CLEAN:
            return self.course.product * sum(weights.values())
        return value

    def ridden(self, at: int, order: tuple[int, ...], entry: Progress) -> Handover:
        known = self.known.get((at, order, entry))
        if known is None:
            known = PassOrders(self.course, at, (entry,), order).of(order)
            self.known[at, order, entry] = known
        return known

    def climb(self, orders: Orders, across: bool) -> tuple[tuple[float, float, int], Orders]:
        """Better and better orders, until no single exchange or move helps."""
        key, improved = self.key(orders), True
        while improved:
            improved = False
            for other in _neighbours(orders, across):
                other_key = self.key(other)
                if other_key < key and self.is_legal(other):
                    orders, key, improved = other, other_key, True
                    break
        return key, orders

    def is_legal(self, orders: Orders) -> bool:
        return self.course.ground.is_legal(arranged(self.run, self.course, orders))


def _neighbours(orders: Orders, across: bool) -> Iterator[Orders]:
    """Every order with two tricks exchanged, or one moved within its pass."""
    spots = [(at, place) for at, order in enumerate(orders) for place in range(len(order))]
    for first, (at, place) in enumerate(spots):
        for other_at, other_place in spots[first + 1 :]:
            if across or at == other_at:
                changed = [list(order) for order in orders]
                changed[at][place] = orders[other_at][other_place]
                changed[other_at][other_place] = orders[at][place]
                yield tuple(map(tuple, changed))
    for at, place in spots:
        for to in range(len(orders[at])):
            if abs(to - place) > 1:  # next door is an exchange
                order = list(orders[at])
                order.insert(to, order.pop(place))
                yield (*orders[:at], tuple(order), *orders[at + 1 :])


class CountedExchange(Exchange):
    """Orders compared where landed tricks may not count, each by its whole figures.

    After `MOST_FIGURED` orders no other one is looked at.
    """

    def __init__(self, run: Run, course: Course) -> None:
        super().__init__(run, course)
        self.figured: dict[Orders, float] = {}

    def value(self, orders: Orders) -> float:
        """The goal's figure."""
        found = self.figured.get(orders)
        if found is None and len(self.figured) < MOST_FIGURED:
            figures = self.course.ground.survive(arranged(self.run, self.course, orders))
            found = self.figured[orders] = self.course.goal.of(figures) or 0.0
        return -inf if found is None else found


def exchange(
    run: Run, course: Course, started: Orders, across: bool, leaves_out: bool = False
) -> Orders:
    """The best of several climbs: from the orders given, as planned, and shuffled ones.

    `leaves_out` where landed tricks may not count: then no shuffled ones are tried.
    """
    search = CountedExchange(run, course) if leaves_out else Exchange(run, course)
    starts = [given_orders(run), started]
    if not leaves_out:
        starts += _shuffled(run, course)
    climbed = [search.climb(orders, across) for orders in starts if search.is_legal(orders)]
    nothing = search.key(started), given_orders(run)
    return min(climbed, default=nothing, key=lambda each: each[0])[1]


def _shuffled(run: Run, course: Course) -> Iterator[Orders]:
    """Shuffled orders, always the same ones for the same tricks in whatever order."""
    random = Random(1)
    for _ in range(RESTARTS):
        orders = []
        for order in given_orders(run):
            tricks = sorted(order, key=lambda at: repr(course.tricks[at]))
            random.shuffle(tricks)
            orders.append(tuple(tricks))
        yield tuple(orders)

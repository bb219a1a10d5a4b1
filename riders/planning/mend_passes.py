"""Changes to whole passes: one taken out, one added, or filled with tricks of the record."""

from collections.abc import Iterator
from dataclasses import replace

from events.rules.language import gettext as _
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Takeoff
from riders.planning.advice import RELIABLE
from riders.planning.ground import broken, said, with_pass
from riders.planning.mend_case import Case, Mend, Ways, unused


def _pass_count(case: Case) -> Iterator[Mend]:
    passes = case.run.passes
    without = Run(passes[: case.pass_no - 1] + passes[case.pass_no :])
    yield Mend(_("Take pass {number} out.").format(number=case.pass_no), without)


def _filled(case: Case, run: Run, pass_no: int, size: int) -> tuple[Run, list[PlannedTrick]]:
    """The run with unused tricks of the record in a pass until it has so many, safe ones and
    high tiers first; and what was added. Tricks that break a rule there are passed over."""

    def rank(each: PlannedTrick) -> tuple[bool, int, float]:
        chance = each.likelihood or 0.0
        return chance < RELIABLE, -each.trick.tier, -chance

    added: list[PlannedTrick] = []
    known = [each for each in case.record if each.likelihood is not None]
    for each in sorted(unused(run, dict.fromkeys(known)), key=rank):
        here = run.passes[pass_no - 1]
        if len(here.tricks) >= size or each.trick.takeoff is Takeoff.DOUBLE_UP:
            continue
        one = replace(each, bonus="", fell=False)
        longer = with_pass(run, pass_no, replace(here, tricks=(*here.tricks, one)))
        if broken(case.ground.legality(longer)) <= broken(case.ground.legality(run)):
            run = longer
            added.append(one)
    return run, added


def _too_few(case: Case) -> Iterator[Mend]:
    """Tricks of the record added until the pass has enough."""
    size = max(1, case.ground.format.passes.tricks_least or 1)
    run, added = _filled(case, case.run, case.pass_no, size)
    names = ", ".join(map(said, added))
    does = _("Add {tricks} to pass {number}.").format(tricks=names, number=case.pass_no)
    yield Mend(does, run)


def _pass_missing(case: Case) -> Iterator[Mend]:
    """Every missing pass with as many tricks of the record as it must have, one at least."""
    passes = case.ground.format.passes
    size, run, said_of = max(1, passes.tricks_least or 1), case.run, []
    for number in range(len(run.passes) + 1, (passes.count or 0) + 1):
        run, added = _filled(case, Run((*run.passes, Pass())), number, size)
        if not added:
            return
        names = ", ".join(map(said, added))
        said_of.append(_("pass {number} with {tricks}").format(number=number, tricks=names))
    yield Mend(_("Plan {passes}.").format(passes=_(" and ").join(said_of)), run)


PASS_WAYS: dict[str, Ways] = {
    "too-few-tricks": _too_few,
    "pass-empty": _too_few,
    "pass-missing": _pass_missing,
    "pass-count": _pass_count,
}

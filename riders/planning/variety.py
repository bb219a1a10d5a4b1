"""Whether a run shows a range of skills: edges, stance, spin directions, grabs, inverts.

Common practice, no source: judges look for variety in a flowing sequence.
"""

from collections.abc import Iterator

from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.run import Run
from events.rules.trick import Direction, Stance
from riders.planning.route import Route

VARIETY_FROM = 5  # fewer tricks can hardly show everything
SPINS_FROM = 2  # spins that could have gone both ways
SIDED = (Direction.FRONTSIDE, Direction.BACKSIDE)


def variety(run: Run, format: Format, route: Route) -> Iterator[Finding]:
    """What a run of several tricks leaves out that a rider could have shown."""
    steps = list(route.steps())
    tricks = [place.trick for place in run.places()]
    if len(tricks) < VARIETY_FROM:
        return
    edges = {step.edge for step in steps}
    if len(edges) == 1:
        yield _little(
            "edges",
            _("Every trick is taken {edge}.").format(edge=edges.pop()),
            _("Judges like to see a range of skills: think of the other edge."),
        )
    if all(trick.stance is Stance.REGULAR for trick in tricks):
        yield _little(
            "stance",
            _("No trick starts switch."),
            _("Judges like to see a range of skills: think of a switch trick."),
        )
    ways = [t.direction for t in tricks if t.rotation >= 180 and t.direction in SIDED]
    if len(ways) >= SPINS_FROM and len(set(ways)) == 1:
        yield _little(
            "spins",
            _("Every spin turns {direction}.").format(direction=ways[0]),
            _("Judges like to see a range of skills: think of a spin the other way."),
        )
    if not any(trick.grab for trick in tricks):
        yield _little(
            "grabs",
            _("No trick is grabbed."),
            _("Judges like to see a range of skills: think of a grab."),
        )
    inverted = sum(trick.invert for trick in tricks)
    if inverted == len(tricks):
        yield _little(
            "inverts",
            _("Every trick is an invert."),
            _("Judges like to see a range of skills: think of a spin or a straight air."),
        )
    elif inverted == 0 and not _bans_inverts(format):
        yield _little(
            "inverts",
            _("No trick is an invert."),
            _(
                "Judges like to see a range of skills: think of an invert that you already "
                "land."
            ),
        )


def _little(code: str, message: str, hint: str) -> Finding:
    return Finding(f"variety-{code}", Grade.ADVICE, message, hint)


def _bans_inverts(format: Format) -> bool:
    """Whether some limit allows no inverts, or a few kinds of them at most."""
    return any(
        limit.most == 0 and limit.when is not None and limit.when.invert
        for limit in format.limits or ()
    )

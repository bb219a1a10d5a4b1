"""A checked run on the course: its tricks and set-up moves to scale."""

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from events.course_strip import StripTick
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.strips import format_strip
from riders.planning.check import Check
from riders.planning.route import PassRoute


def planned_strip(check: Check, format: Format, units: Units = AS_PUBLISHED) -> SafeString:
    """The course strip of a planned run as SVG; the numbers are those of the rows."""
    ticks = {each.pass_no: _ticks(each) for each in check.route.passes}
    return format_strip(format, _("Your run on the course"), ticks, units)


def _ticks(route: PassRoute) -> tuple[StripTick, ...]:
    ticks = []
    for step in route.steps:
        if step.planned.bonus:
            continue
        if step.setup_m and step.fits:
            begin = step.takeoff_m - step.setup_m
            ticks.append(StripTick(begin, step.takeoff_m, "", "set-up"))
        state = "planned" if step.fits else "dropped"
        label = str(step.place.position)
        ticks.append(StripTick(step.takeoff_m, step.end_m, label, state))
    return tuple(ticks)

"""The findings of a check as a list.

Drawn here and not by a template: a planner shows dozens of them at every change, and this
takes a fraction of the time.
"""

from collections.abc import Iterable

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from events.rules.findings import Finding
from riders.planning.mends import MENDABLE

register = template.Library()

FINDING = """<li class="finding finding--{}">
  <p class="finding-grade">{}</p>
  <p class="finding-text">{}</p>{}{}
</li>"""
HINT = '<p class="finding-hint">{}</p>'
MEND = (
    '<p><button class="btn btn-quiet btn-small" type="submit" form="planner-form" name="mend" '
    'value="{0}:{1}:{2}" id="mend-{0}-{1}-{2}-{4}">{5}'
    '<span class="visually-hidden">: {3}</span></button></p>'
)


@register.simple_tag
def findings(found: Iterable[Finding], can_mend: bool = False) -> SafeString:
    """A list of findings, with a button for each that one click may mend; nothing for none."""
    items = format_html_join(
        "", "{}", ((_finding(each, n, can_mend),) for n, each in enumerate(found, start=1))
    )
    return format_html('<ul class="findings">{}</ul>', items) if items else items


def _finding(finding: Finding, number: int, can_mend: bool) -> SafeString:
    hint = format_html(HINT, finding.hint) if finding.hint else ""
    mend = _mend(finding, number) if can_mend and finding.code in MENDABLE else ""
    grade = finding.grade
    return format_html(FINDING, grade.value, _heading(finding), finding.message, hint, mend)


def _heading(finding: Finding) -> str:
    if finding.pass_no and not finding.position:
        said = _("{grade}, pass {number}")
        return said.format(grade=finding.grade.label, number=finding.pass_no)
    return finding.grade.label


def _mend(finding: Finding, number: int) -> SafeString:
    # By its id the button keeps the focus when a check that comes in later draws it again.
    where = (finding.pass_no, finding.position)
    return format_html(MEND, finding.code, *where, finding.message, number, _("Mend this"))

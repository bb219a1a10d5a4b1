"""The pages that the tests of ease walk through, and what they look for on each.

Looks return sentences about what is wrong; `walk` gathers them from all pages, so that one run
tells everything. The criteria are those of WCAG 2.2 (W3C Recommendation, 2023).
"""

from collections.abc import Callable, Iterator

from playwright.sync_api import Page

from events.invitations import invite
from events.models import Division, Edition, Event
from runsheets.models import Mark, Printing, Ride, RoundResult, Slot
from tests.browser.test_every_page import (
    CLUB,
    CUP,
    EVENT,
    ORGANISER,
    PUBLIC,
    RIDER,
    TABLE,
    sign_in,
)

Look = Callable[[Page], list[str]]
# Pages in a state that the demo alone does not have; see `fuller`.
MORE: dict[str, dict[str, str]] = {
    "public": {"result with tricks": f"/results/{CUP}/advanced/?round=Qualifying",
               "invitation": "{invitation_link}"},
    "organiser": {"people invited": f"/organise/clubs/{CLUB}/people/",
                  "letter": f"/organise/clubs/{CLUB}/post/{{letter}}/"},
    "table": {"tie": "/table/divisions/{cup_division}/result/?round=Qualifying",
              "paper": "/paper/{code}/", "old paper": "/paper/{old_code}/"},
    "rider": {"invitation of another": "{invitation_link}"},
}  # fmt: skip
PAGES = {
    "public": PUBLIC | MORE["public"],
    "organiser": ORGANISER | MORE["organiser"],
    "table": TABLE | MORE["table"],
    "rider": RIDER | MORE["rider"],
}


def fuller(numbers: dict[str, int]) -> dict[str, object]:
    """The demo with a tie that people decide, tricks shown, papers and an invitation."""
    division = Division.objects.get(event__slug=CUP)
    rules = division.edition.data
    rules["judging"]["tie_breaks"] = ["ride-off"]
    Edition.objects.filter(division=division).update(data=rules)
    heat = Slot.objects.filter(order__division=division).first().heat
    seated = Slot.objects.filter(heat=heat).values("entry")
    done = Ride.objects.filter(order=heat.order, entry__in=seated, state=Ride.State.DONE)
    one, two, *_ = done.filter(marks__isnull=False).distinct()
    for mark in Mark.objects.filter(ride=one):
        same = {"judge": mark.judge, "criterion": mark.criterion}
        Mark.objects.filter(ride=two, **same).update(value=mark.value)
    RoundResult.objects.filter(order__division=division).update(shows_tricks=True)
    event = Event.objects.get(slug=EVENT)
    by = event.club.officials.first().user
    for code, rows in (("K7Q29XMF", {}), ("00000000", {"paper": {"edition": "0"}})):
        Printing.objects.create(event=event, kind="dock 1", code=code, rows=rows, printed_by=by)
    held = invite(club=event.club, event=event, role="dock", email="t@example.org", by=by)
    link = next(line for line in held.letter.text.splitlines() if "/key/" in line)
    path = "/" + link.split("/", 3)[3]
    return {**numbers, "invitation_link": path, "letter": held.letter_id,
            "code": "K7Q2-9XMF", "old_code": "0000-0000"}  # fmt: skip


def walk(page: Page, who: str, numbers: dict[str, object]) -> Iterator[str]:
    """Open every page of one kind of visitor, one after the other; yields its name."""
    if who != "public":
        sign_in(page, who)
    for name, address in PAGES[who].items():
        answer = page.goto(address.format(**numbers))
        assert answer is not None
        assert answer.status == 200, f"{answer.status} at {address}"
        yield name


# ---- What is looked for ------------------------------------------------------------------

# A style sheet made by script is no inline style, so the site's policy lets it through. The
# words in the drawn course are placed by metres; they stand beside it as text too.
SPACING = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`:not(svg *) { line-height: 1.5 !important; letter-spacing: .12em !important;
    word-spacing: .16em !important; } p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets = [sheet];
}"""
PLAIN = "() => { document.adoptedStyleSheets = []; }"

# Text that its own box cuts off, and a page that is wider than its window. What scrolls by
# itself may be wider: tables of data, which 1.4.10 excepts.
CUT_OFF = """() => {
  const said = [];
  const html = document.documentElement;
  if (html.scrollWidth > html.clientWidth) {
    const wide = [...document.querySelectorAll('body *')].reverse().find((each) =>
      (each.getBoundingClientRect().right > html.clientWidth + 1
        || (each.clientWidth > 1 && each.scrollWidth > each.clientWidth + 1))
      && !each.closest('.table-scroll'));
    said.push(`${html.scrollWidth} px wide in ${html.clientWidth}: ${wide?.outerHTML.slice(0, 120)}`);
  }
  for (const each of document.querySelectorAll('body *')) {
    const style = getComputedStyle(each);
    const hides = (side) => ['hidden', 'clip'].includes(style[side]);
    if (each.closest('.visually-hidden, svg, option, select, input') || !each.innerText) continue;
    const cuts = (hides('overflowX') && each.scrollWidth > each.clientWidth + 1)
      || (hides('overflowY') && each.scrollHeight > each.clientHeight + 1);
    if (cuts && each.clientWidth > 1) said.push(`cut off: ${each.outerHTML.slice(0, 120)}`);
  }
  return said;
}"""

# Is the focus of a part drawn, and is some of the part in sight? It is in sight where no other
# part of the page lies on top of it. The box of a radio or a check may be hidden behind its
# label, which then shows it.
SEEN = """
const unseen = (each) => {
  const said = [];
  const shows = [each, each.closest('label'), each.nextElementSibling].filter(Boolean);
  const drawn = shows.some((part) => {
    const style = getComputedStyle(part);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  });
  const words = each.outerHTML.slice(0, 110);
  if (!drawn) said.push(`focus not drawn: ${words}`);
  const boxes = shows.flatMap((part) => [...part.getClientRects()]);
  const seen = boxes.some((box) => [.1, .5, .9].some((x) => [.1, .5, .9].some((y) => {
    const at = [box.left + box.width * x, box.top + box.height * y];
    const top = document.elementFromPoint(...at);
    return top && shows.some((part) => part.contains(top) || top.contains(part));
  })));
  if (!seen) said.push(`focus behind something: ${words}`);
  return said;
};
"""
# The same for every place where the keyboard stops, one after the other.
STOPS = f"""(backwards) => {{
  {SEEN}
  const said = [];
  const stops = [...document.querySelectorAll('a[href], button, input, select, textarea, '
    + 'summary, [tabindex="0"]')].filter((each) => !each.disabled && each.tabIndex >= 0
      && each.type !== 'hidden' && each.checkVisibility({{visibilityProperty: true}}));
  if (backwards) stops.reverse();
  for (const each of stops) {{
    each.focus();
    if (document.activeElement === each) said.push(...unseen(each));
  }}
  return said;
}}"""
HERE = f"() => {{ {SEEN} return unseen(document.activeElement); }}"

MOVES = """() => [...document.querySelectorAll('*')].flatMap((each) => {
  const style = getComputedStyle(each);
  const long = (times) => times.split(',').some((time) => parseFloat(time) > .01);
  const moves = long(style.transitionDuration)
    || (style.animationName !== 'none' && long(style.animationDuration))
    || style.scrollBehavior === 'smooth';
  return moves ? [`moves: ${each.outerHTML.slice(0, 100)}`] : [];
})"""

# With forced colours backgrounds and shadows are gone: a control needs a line around it, or
# words that are underlined; what is chosen needs more than its colour.
FORCED = """() => {
  const said = [];
  const lined = (each) => {
    const style = getComputedStyle(each);
    return ['Top', 'Right', 'Bottom', 'Left'].some((side) =>
      style[`border${side}Style`] !== 'none' && parseFloat(style[`border${side}Width`]) > 0)
      || style.textDecorationLine !== 'none';
  };
  for (const each of document.querySelectorAll('.btn, input:not([type=hidden], [type=radio], '
    + '[type=checkbox], [type=file]), select, textarea, [aria-current]')) {
    if (!each.checkVisibility() || each.closest('.visually-hidden')) continue;
    if (each.matches('.breadcrumbs *')) continue;  // the last one, and no link: its place says it
    if (!lined(each)) said.push(`no line: ${each.outerHTML.slice(0, 110)}`);
  }
  return said;
}"""


def cut_off(page: Page) -> list[str]:
    """Text that is cut off, and a page wider than its window."""
    found: list[str] = page.evaluate(CUT_OFF)
    return found


def cut_off_when_spaced(page: Page) -> list[str]:
    """The same with the text spacing of criterion 1.4.12."""
    page.evaluate(SPACING)
    found = cut_off(page)
    page.evaluate(PLAIN)
    return found


def hidden_focus(page: Page) -> list[str]:
    """Stops of the keyboard whose focus is not drawn or lies behind something."""
    page.keyboard.press("Tab")  # from here on the browser draws the focus as for a keyboard
    found = [*page.evaluate(STOPS, False), *page.evaluate(STOPS, True)]
    if found:  # parts that a script adds after the page has come may have moved the others
        page.wait_for_timeout(500)
        found = [*page.evaluate(STOPS, False), *page.evaluate(STOPS, True)]
    return found

"""Does with a browser what a tutorial tells people to do, and takes its pictures."""

import hashlib
import io
import json
import os
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from PIL import Image
from playwright.sync_api import APIResponse, Locator, Page, Route, expect

from events.first_steps import TAKEN, Picture, Step, Tutorial, folder_of, taken

WRITES = os.environ.get("WRITE_PICTURES") == "1"
STATIC = Path(settings.BASE_DIR) / "events" / "static"
SCALE = 2  # picture dots for each pixel of the page
COLOURS = 48
CHECKS_AFTER = 1000  # milliseconds
ROOM = 12  # pixels around the parts that are shown

# Headings, labels and buttons: what a reader finds again on the page.
READ = """(parts) => {
  const kinds = 'h1,h2,h3,h4,legend,label,summary,button,a.btn,dt,th,.verdict,.badge,.finding-text';
  const words = [...document.querySelectorAll('main :is(' + kinds + ')')]
    .filter(one => parts.some(part => part.contains(one) || one.contains(part)))
    .filter(one => one.checkVisibility())
    .map(one => one.textContent.replace(/\\s+/g, ' ').trim());
  return [...new Set(words.filter(Boolean))];
}"""


@dataclass
class Walk:
    """One tutorial in one window; `told` collects what stands beside the pictures."""

    page: Page
    place: Locator
    told: dict[str, dict[str, object]] = field(default_factory=dict)

    @classmethod
    def begin(cls, page: Page) -> "Walk":
        """At the page that is open."""
        return cls(page, page.locator("main"))

    def do(self, step: Step) -> None:
        """Everything that the step says, in order."""
        self.place = self.page.locator("main")
        for verb, *more in step.acts:
            acts: dict[str, Callable[..., None]] = {
                "go": self.go, "in": self.inside, "follow": self.follow, "press": self.press,
                "fill": self.fill, "choose": self.choose, "tick": self.tick,
                "file": self.file, "see": self.see,
            }  # fmt: skip
            if verb == "picture":
                assert step.picture is not None, step.title
                self.take(step.picture)
                if step.care:
                    expect(self.page.locator("main")).to_contain_text(step.care)
            else:
                acts[verb](*more)

    def go(self, address: str) -> None:
        """Open a page."""
        self.page.goto(address)

    def inside(self, group: str) -> None:
        """Go on in a group of fields, or, for nothing, on the whole page again."""
        main = self.page.locator("main")
        self.place = main.get_by_role("group", name=starts_with(group)).first if group else main

    def follow(self, name: str) -> None:
        """Follow the first link of this name; the menu's comes after those of the page."""
        link = self.place.get_by_role("link", name=starts_with(name))
        if not link.count():
            link = self.page.get_by_role("link", name=starts_with(name))
        link.first.click()

    def press(self, name: str) -> None:
        """Press the last button of this name: the first may be one for the Enter key."""
        buttons = self.place.get_by_role("button", name=starts_with(name))
        buttons.last.click()

    def fill(self, name: str, value: str) -> None:
        """Write into a field."""
        found = self.place.get_by_label(starts_with(name)).first
        found.fill(value)
        expect(found).to_have_value(value)

    def choose(self, name: str, option: str) -> None:
        """Choose from a list."""
        self.place.get_by_label(starts_with(name)).first.select_option(label=option)

    def tick(self, name: str) -> None:
        """Tick a box, or choose one of several."""
        self.place.get_by_label(starts_with(name)).first.check(force=True)

    def file(self, name: str, kind: str) -> None:
        """Press a button that gives a file of this kind; the page stays as it is."""
        answers: list[APIResponse] = []

        def keep(route: Route) -> None:
            answers.append(route.fetch())
            route.fulfill(status=204)

        self.page.route("**/*", keep)
        with self.page.expect_request(lambda sent: sent.method == "POST"):
            self.press(name)
        self.page.wait_for_timeout(0)
        self.page.unroute_all(behavior="wait")
        (answer,) = answers
        assert answer.headers["content-type"] == kind
        assert answer.body().startswith(b"%PDF-")
        self.page.reload()

    def see(self, words: str) -> None:
        """What the step promises stands on the page."""
        shown = self.page.locator("main").get_by_text(words).locator("visible=true")
        expect(shown.first).to_be_visible()

    def take(self, picture: Picture) -> None:
        """Write the picture anew, or compare what stands beside it with the page."""
        self.page.evaluate("document.activeElement.blur()")
        self._wait()
        self.page.mouse.move(0, 0)
        clip, words = self._shown(picture)
        if WRITES:
            (STATIC / picture.file).parent.mkdir(exist_ok=True)
            self._write(picture, clip, words)
            return
        kept = taken(picture.language)[picture.name]
        assert kept["words"] == words, (
            f"The picture {picture.name} is out of date: see “A step of the first steps” in "
            f"DEVELOPERS.md for taking it anew. {self.page.url}"
        )
        assert kept["width"] == clip["width"], picture.name
        # Another machine has other letters for the text, so that lines break elsewhere.
        grown = clip["height"] / float(str(kept["height"]))
        assert 0.7 < grown < 1.4, f"{picture.name} is {grown:.2f} times as high on the page"

    def _wait(self) -> None:
        """Until the check that begins half a second after the last change has been shown."""
        if self.page.locator("main [hx-trigger*=delay]").count():
            self.page.wait_for_timeout(CHECKS_AFTER)
            self.page.wait_for_function("!document.querySelector('.htmx-request')")

    def _shown(self, picture: Picture) -> tuple[dict[str, float], list[str]]:
        parts = [self.page.locator(each).first for each in picture.around]
        boxes = [each.bounding_box() for each in parts]
        lost = [n for n, box in zip(picture.around, boxes, strict=True) if box is None]
        assert not lost, f"{picture.name} cannot show {lost} at {self.page.url}"
        down = self.page.evaluate("window.scrollY")
        tops = [box["y"] + down for box in boxes if box]
        ends = [box["y"] + down + box["height"] for box in boxes if box]
        top = max(0, round(min(tops) - ROOM))
        wide = self.page.evaluate("document.documentElement.clientWidth")
        clip = {"x": 0, "y": top, "width": wide, "height": round(max(ends) + ROOM) - top}
        handles = [each.element_handle() for each in parts]
        return clip, self.page.evaluate(READ, handles)

    def _write(self, picture: Picture, clip: dict[str, float], words: list[str]) -> None:
        before = self.page.viewport_size
        assert before is not None
        # As high as the page, so that nothing that sticks to the window's edge covers it.
        high = self.page.evaluate("document.documentElement.scrollHeight")
        self.page.set_viewport_size({"width": before["width"], "height": high})
        clip, words = self._shown(picture)
        shot = self.page.screenshot(full_page=True, clip=clip, animations="disabled")
        self.page.set_viewport_size(before)
        small = Image.open(io.BytesIO(shot)).convert("RGB")
        small = small.quantize(COLOURS, dither=Image.Dither.NONE)
        file = STATIC / picture.file
        small.save(file, optimize=True)
        self.told[picture.name] = {
            "width": clip["width"],
            "height": clip["height"],
            "sum": hashlib.sha256(file.read_bytes()).hexdigest()[:16],
            "words": words,
        }


def starts_with(name: str) -> re.Pattern[str]:
    """Names that begin so: what follows may be "required", or for screen readers."""
    return re.compile(r"^\s*" + re.escape(name))


def walk(tutorial: Tutorial, page: Page) -> None:
    """Walk a tutorial to its end; keep what was told of new pictures."""
    done = Walk.begin(page)
    for number, step in enumerate(tutorial.steps, start=1):
        try:
            done.do(step)
        except AssertionError as error:
            raise AssertionError(f"Step {number}, {step.title}: {error}") from error
    if WRITES:
        kept = taken(tutorial.language)
        mine = {n: v for n, v in kept.items() if not n.startswith(f"{tutorial.who}-")}
        text = json.dumps(mine | done.told, indent=1, ensure_ascii=False, sort_keys=True)
        (folder_of(tutorial.language) / TAKEN).write_text(text + "\n", encoding="utf-8")

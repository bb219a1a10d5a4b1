"""The forms of a page as a browser sees them: fields, what stands in them, what a button sends.

HTML Living Standard, 4.10: a control belongs to the form around it or to the one that its
`form` attribute names; only the pressed button is sent; `formaction` goes before `action`.
"""

from dataclasses import dataclass, field
from html.parser import HTMLParser

NEVER_SENT = {"submit", "button", "reset", "image"}


@dataclass
class Control:
    """A field by its name: its kind, what would be sent of it, and what can be chosen."""

    kind: str
    values: list[str] = field(default_factory=list)
    choices: list[str] = field(default_factory=list)

    @property
    def is_typed(self) -> bool:
        """Whether a person writes into it, so that whatever was sent can be shown again."""
        return self.kind not in {
            "select", "select-multiple", "radio", "checkbox", "hidden", "file", "password",
        }  # fmt: skip


@dataclass
class PageForm:
    """A form: where it goes to, its controls by name, and its buttons."""

    action: str
    posts: bool = True
    controls: dict[str, Control] = field(default_factory=dict)
    buttons: list[tuple[str, str, str]] = field(default_factory=list)  # name, value, action
    takes_files: bool = False

    @property
    def sent(self) -> dict[str, list[str]]:
        """What a browser sends without a button; files left out."""
        return {
            name: list(control.values)
            for name, control in self.controls.items()
            if control.values and control.kind != "file"
        }


class _Reader(HTMLParser):
    def __init__(self, html: str, at: str) -> None:
        super().__init__()
        self.at = at
        self.all: list[PageForm] = []
        self.by_id: dict[str, PageForm] = {}
        self.loose: list[tuple[str, str, dict[str, str]]] = []
        self.form: PageForm | None = None
        self.select: Control | None = None
        self.area: Control | None = None
        self.links: list[str] = []
        self.parts: list[str] = []  # addresses that a part of the page sends its form to
        self.ids: dict[str, str] = {}  # of controls: id to name
        self.invalid: set[str] = set()  # names of controls that are marked as wrong
        self.within = ""
        self.feed(html)
        for owner, tag, found in self.loose:
            self.put(self.by_id[owner], tag, found)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if "hx-post" in found:
            self.parts.append(found["hx-post"])
        if tag == "form":
            self.begin(found)
        elif tag == "a" and found.get("href"):
            self.links.append(found["href"])
        elif tag in ("input", "button", "select", "textarea"):
            self.control(tag, found)
        elif tag == "option" and self.select is not None:
            value = found.get("value", "")
            self.select.choices.append(value)
            if "selected" in found:
                self.select.values.append(value)

    def begin(self, found: dict[str, str]) -> None:
        self.form = PageForm(found.get("action") or self.at)
        self.form.posts = found.get("method", "").lower() == "post"
        self.form.takes_files = "multipart" in found.get("enctype", "")
        self.all.append(self.form)
        if "id" in found:
            self.by_id[found["id"]] = self.form

    def control(self, tag: str, found: dict[str, str]) -> None:
        if "id" in found and "name" in found:
            self.ids[found["id"]] = found["name"]
        if found.get("aria-invalid") == "true":
            self.invalid.add(found.get("name", ""))
        if "disabled" in found:
            return
        if "form" in found:  # it may stand before its form
            if tag in ("select", "textarea"):
                raise AssertionError("a list or text outside of its form is not read here")
            self.loose.append((found["form"], tag, found))
        elif self.form is not None:
            self.put(self.form, tag, found)

    def put(self, form: PageForm, tag: str, found: dict[str, str]) -> None:
        name, kind = found.get("name", ""), found.get("type", "text").lower()
        if tag == "button" or kind in NEVER_SENT:
            if kind not in ("button", "reset"):
                action = found.get("formaction") or form.action
                form.buttons.append((name, found.get("value", ""), action))
            return
        if not name or name == "csrfmiddlewaretoken":
            return
        if tag != "input":
            kind = "textarea" if tag == "textarea" else tag
            kind += "-multiple" if "multiple" in found else ""
        held = form.controls.setdefault(name, Control(kind))
        if tag == "select":
            self.select = held
        elif tag == "textarea":
            self.area, self.within = held, ""
        elif kind in ("radio", "checkbox"):
            value = found.get("value", "on")
            held.choices.append(value)
            if "checked" in found:
                held.values.append(value)
        elif kind != "file":
            held.values.append(found.get("value", ""))

    def handle_data(self, data: str) -> None:
        self.within += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.form = None
        elif tag == "select" and self.select is not None:
            # A list with no choice marked sends its first one.
            if self.select.kind == "select" and not self.select.values:
                self.select.values = self.select.choices[:1]
            self.select = None
        elif tag == "textarea" and self.area is not None:
            # The line break that the standard lets stand first belongs to the markup.
            self.area.values.append(self.within.removeprefix("\n").replace("\n", "\r\n"))
            self.area = None


@dataclass
class SeenPage:
    """What of a page is of use to whoever fills in its forms."""

    forms: list[PageForm]
    asking: list[PageForm]  # those that only look something up
    links: list[str]
    names_by_id: dict[str, str]
    invalid: set[str]


def seen(html: str, at: str) -> SeenPage:
    """The page that was opened at an address."""
    read = _Reader(html, at)
    posting = [form for form in read.all if form.posts]
    asking = [form for form in read.all if not form.posts]
    known = {button[2] for form in posting for button in form.buttons}
    for part in set(read.parts) - known:
        max(posting, key=lambda form: len(form.controls)).buttons.append(("", "", part))
    return SeenPage(posting, asking, read.links, read.ids, read.invalid)

"""Every form of the site, found from the pages of the permission world by who may see them."""

import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import parse_qs, urlencode, urljoin, urlsplit
from zlib import crc32

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve
from django.utils import timezone

from events.models import Letter
from tests.factories import PASSWORD
from tests.operation.page_forms import Control, PageForm, seen
from tests.operation.permission_world import World
from tests.operation.test_permissions import MAY, address

# Who sees most comes first; a form is taken from the first who has it. Nobody is asked apart.
PEOPLE = (
    "organiser",
    "rider",
    "other rider",
    "coach",
    "table",
    "dock",
    "other club",
    "invited",
)
ALIKE = 3  # pages of one address; forms with the same fields and other buttons
DEEP = 16  # buttons of one form that are tried for where they lead to
LINK = re.compile(r"https?://[^\s/]+(/\S+)")
LOG_FILE = b"trick,day,landed,tried\r\nTS FS 180,2026-06-02,4,5\r\n"
ENTRIES_FILE = b"Given name,Family name,E-mail,Division\r\nRuna,Moss,runa@example.org,Open\r\n"
FORMAT_FILE = b"[passes]\ncount = 2\nlength_m = 400\n"
# What a person would type where nothing stands yet: events lie ahead, what was ridden behind.
TODAY = timezone.localdate()
BY_KIND = {
    "date": "2026-06-05", "time": "10:00", "email": "someone@example.org", "number": "2",
    "datetime-local": f"{TODAY + timedelta(days=20)}T12:00", "tel": "+43 1 555 0199",
}  # fmt: skip
BY_NAME = {
    "first_day": f"{TODAY + timedelta(days=40)}", "last_day": f"{TODAY + timedelta(days=41)}",
    "expires_on": f"{TODAY + timedelta(days=9)}", "landed": "1", "tried": "2",
    "time_zone": "Europe/Vienna", "course_m": "400", "trick": "TS FS 180", "word": "erase",
    "consented": "on", "acknowledged": "on", "old_password": PASSWORD, "password": PASSWORD,
    "new_password1": f"new-{PASSWORD}", "new_password2": f"new-{PASSWORD}",
}  # fmt: skip


@dataclass(frozen=True)
class Found:
    """A form of the site: the name of the address it goes to, who fills it in, and where."""

    name: str
    person: str
    at: str
    form: PageForm
    via: str = ""  # the link of a letter by which it is reached

    @property
    def buttons(self) -> list[tuple[str, str, str]]:
        """Name, value and address of each; a form without one is sent by Enter."""
        return self.form.buttons or [("", "", self.form.action)]

    def action(self, button: int = 0) -> str:
        """Where a button sends the form to."""
        return urljoin(self.at, self.buttons[button % len(self.buttons)][2])

    def sent(self, button: int = 0) -> dict[str, list[str]]:
        """What stands in the form, with what is empty filled in; and one of its buttons."""
        held = {
            name: control.values if any(control.values) else [filled(name, control)]
            for name, control in self.form.controls.items()
            if control.kind not in ("file", "hidden", "checkbox")
            or control.values
            or (control.kind == "checkbox" and name in BY_NAME)
        }
        name, value, _ = self.buttons[button % len(self.buttons)]
        return held | ({name: [value]} if name else {})

    @property
    def files(self) -> dict[str, Any]:
        """A good file in each field for files."""
        return {
            name: good_file(self.name, name)
            for name, control in self.form.controls.items()
            if control.kind == "file"
        }


def filled(name: str, control: Control) -> str:
    """What a person would write or choose there; numbers to give out differ."""
    if name.startswith("bib-"):
        return name.removeprefix("bib-")
    if control.kind == "hidden":
        return ""
    if control.choices:
        return next((choice for choice in control.choices if choice), "")
    plain = re.sub(r"^.*-", "", name)
    return BY_NAME.get(plain, BY_KIND.get(control.kind, f"Marsh {crc32(name.encode()) % 900}"))


def good_file(page: str, field: str) -> SimpleUploadedFile:
    """A file that is taken there."""
    if field.endswith("formats"):
        return SimpleUploadedFile("cup-open.toml", FORMAT_FILE)
    content = LOG_FILE if page == "log-import" else ENTRIES_FILE
    return SimpleUploadedFile("rows.csv", content)


@contextmanager
def taken_back(client: Client) -> Iterator[None]:
    """Whatever is done meanwhile never was, for the database and for the browser."""
    cookies = deepcopy(client.cookies)
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    client.cookies = cookies


class Crawl:
    """Goes through the pages, keeping each form once for members and once for nobody."""

    def __init__(
        self,
        world: World,
        people: tuple[str, ...] = (*PEOPLE, "anonymous"),
        names: tuple[str, ...] = (),
    ) -> None:
        """`names` are the addresses to begin with where others are not wanted at all."""
        self.world = world
        self.only = frozenset(names)
        self.clients = {person: self._client(person) for person in people}
        self.found: list[Found] = []
        self.known: Counter[tuple[Any, ...]] = Counter()
        self.opened: Counter[tuple[Any, ...]] = Counter()
        self.via = ""
        letters = list(self._letters())
        for person in self.clients:
            for name in names or sorted(MAY):
                if person in MAY[name] or (person == "invited" and name == "invitation"):
                    self.open(person, address(world, name))
            for path in letters if not names else ():
                self.open(person, path)

    def _client(self, person: str) -> Client:
        client = Client(raise_request_exception=False)
        user = self.world.people[person]
        if user is not None:
            client.force_login(user)
        return client

    @staticmethod
    def _letters() -> Iterator[str]:
        for text in Letter.objects.order_by("pk").values_list("text", flat=True):
            yield from LINK.findall(text)

    def open(self, person: str, at: str) -> None:
        """One page, its forms, and whatever it links to with another query."""
        client = self.clients[person]
        self.via = at
        with taken_back(client):
            self.read(person, at, client.get(at, follow=True))

    def read(self, person: str, at: str, answer: Any, deep: bool = True) -> None:
        """Keep the forms of an answer."""
        if answer.streaming or not answer.get("Content-Type", "").startswith("text/html"):
            return
        if query := answer.request["QUERY_STRING"]:
            at = f"{answer.request['PATH_INFO']}?{query}"
        else:
            at = answer.request["PATH_INFO"]
        page = seen(answer.text, at)
        for form in page.forms:
            self.keep(person, at, form, deep)
        if deep and not self.only:
            asked = [asked_of(form) for form in page.asking]
            for link in [*page.links, *asked]:
                self.follow(person, urljoin(at, link))

    def follow(self, person: str, where: str) -> None:
        """One of our addresses: each a few times, and once for each set of names in a query."""
        parts = urlsplit(where)
        try:
            name = resolve(parts.path).url_name
        except Resolver404:
            return
        query = frozenset(parse_qs(parts.query))
        page, alike = (person, parts.path, query), (person, name, query)
        if not parts.netloc and not self.opened[page] and self.opened[alike] < ALIKE:
            self.opened.update((page, alike))
            self.open(person, where)

    def keep(self, person: str, at: str, form: PageForm, deep: bool) -> None:
        """A form that was not seen before, and those on the pages that it leads to."""
        where = urlsplit(urljoin(at, form.action)).path
        found = Found(resolve(where).url_name or "", person, at, form, self.via)
        kinds = frozenset((shape(key), held.kind) for key, held in form.controls.items())
        alike = (person == "anonymous", found.name, kinds)
        key = (*alike, frozenset((shape(name), value) for name, value, _ in form.buttons))
        if self.known[key] or self.known[alike] >= ALIKE:
            return
        self.known[key] += 1
        self.known[alike] += 1
        self.found.append(found)
        client = self.clients[person]
        for button in range(min(len(found.buttons), DEEP)) if deep else ():
            with taken_back(client):
                data = found.sent(button) | found.files
                answer = client.post(found.action(button), data)
                if answer.status_code == 200:
                    self.read(person, found.action(button), answer, deep=False)


def asked_of(form: PageForm) -> str:
    """The address that a form leads to which only looks something up."""
    given = {name: filled(name, each) for name, each in form.controls.items()}
    return f"{urlsplit(form.action).path}?{urlencode(given)}"


def shape(name: str) -> str:
    """The name without its numbers: rows of one list are alike."""
    return re.sub(r"\d+", "0", name)

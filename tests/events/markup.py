"""Fetching pages in tests, and what must hold of their markup."""

import re
from html import unescape
from html.parser import HTMLParser

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext


def text_of(html: str) -> str:
    """The words of a page, without tags, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def page(client: Client, address: str, status: int = 200) -> str:
    """The page at an address, which must answer as said."""
    response = client.get(address)
    assert response.status_code == status
    return response.content.decode()


def queries_of(client: Client, address: str) -> int:
    """How many queries a page takes."""
    with CaptureQueriesContext(connection) as captured:
        page(client, address)
    return len(captured)


class _Labels(HTMLParser):
    """Collects headings, ids, labels and the inputs that a person fills in."""

    def __init__(self) -> None:
        super().__init__()
        self.headings = 0
        self.ids: list[str] = []
        self.labels: set[str] = set()
        self.inputs: list[str] = []
        self.depth = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.headings += tag == "h1"
        self.ids += [found["id"]] if "id" in found else []
        if tag == "label":
            self.depth += 1
            self.labels.add(found.get("for", ""))
        is_input = tag in ("input", "select", "textarea")
        if is_input and found.get("type") not in ("hidden", "submit"):
            self.inputs.append("" if self.depth else found.get("id", f"no id: {attrs}"))

    def handle_endtag(self, tag: str) -> None:
        self.depth -= tag == "label"


def assert_labelled(html: str) -> None:
    """One h1, no id twice, and a label for or around every input that a person fills in."""
    seen = _Labels()
    seen.feed(html)
    assert seen.headings == 1
    assert len(seen.ids) == len(set(seen.ids)), [i for i in seen.ids if seen.ids.count(i) > 1]
    assert set(seen.inputs) - seen.labels - {""} == set()

"""Finds words on a page that no catalogue can reach.

Every message of the catalogues is "translated" into itself between ⟦ and ⟧; what a page then
says outside of them, and is not what somebody typed, was never marked for translation.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

from babel.messages import mofile
from babel.messages.catalog import Catalog
from django.apps import apps
from django.conf import settings
from django.db.models import CharField, JSONField, TextField

from events.project.catalogues.gathering import FOLDERS, gather
from events.rules.vocabulary import standard_vocabulary
from events.starts import example_formats

OPEN, CLOSE = "⟦", "⟧"
_INNERMOST = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")
_PROSE = re.compile(r"[A-Za-z]{2,}\W{1,3}[a-z]{2,}|\b[A-Z][a-z]{3,}\b")
SAID = ("aria-label", "alt", "title", "placeholder", "label")
SILENT = {"script", "style", "code", "kbd", "samp", "pre", "textarea"}


def wrapped_catalogue(base: Path, folder: Path, language: str) -> None:
    """Compile a catalogue below `folder` that wraps every message of the project."""
    catalogue = Catalog(language, fuzzy=False)
    for each in FOLDERS:
        for message in gather(base, each):
            one = f"{OPEN}{message.text}{CLOSE}"
            many = (one, f"{OPEN}{message.plural}{CLOSE}")
            said = many if message.plural else one
            catalogue.add(message.key, said, context=message.context or None)
    buffer = BytesIO()
    mofile.write_mo(buffer, catalogue)
    path = folder / language / "LC_MESSAGES" / "django.mo"
    path.parent.mkdir(parents=True)
    path.write_bytes(buffer.getvalue())


class _Reader(HTMLParser):
    """The texts of a page that stand outside of the brackets, which elements may stand in."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.silent = 0
        self.depth = 0

    def handle_starttag(self, tag, attributes) -> None:
        self.silent += tag in SILENT
        self.texts += [_outside(value) for name, value in attributes if name in SAID and value]

    def handle_endtag(self, tag) -> None:
        self.silent = max(0, self.silent - (tag in SILENT))

    def handle_data(self, data) -> None:
        if self.silent:
            return
        kept = ""
        for each in data:
            self.depth += each == OPEN
            kept += each if not self.depth else ""
            self.depth = max(0, self.depth - (each == CLOSE))
        self.texts.append(kept)


def _outside(text: str) -> str:
    while (fewer := _INNERMOST.sub(" ", text)) != text:
        text = fewer
    return text


def typed_words() -> list[str]:
    """What people typed, as the database holds it; the longest first."""
    found: set[str] = set()
    for model in apps.get_models():
        names = [
            field.attname
            for field in model._meta.fields
            if isinstance(field, CharField | TextField | JSONField)
        ]
        for row in model.objects.values_list(*names) if names else ():
            for value in row:
                found |= set(_strings(value))
    for trick in standard_vocabulary().tricks:  # the trade's names, and where they are from
        found |= {trick.name, *trick.aliases, trick.source, trick.key}
    found |= {each.name or "" for each in example_formats().values()}
    found |= {"Buoyline", *(name for _code, name in settings.LANGUAGES)}
    return sorted((text for text in found if len(text) > 2), key=len, reverse=True)


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for each in (*value.keys(), *value.values()):
            yield from _strings(each)
    elif isinstance(value, list):
        for each in value:
            yield from _strings(each)


def unmarked(page: str, typed: list[str]) -> list[str]:
    """The texts of a page that say something outside of the catalogues."""
    reader = _Reader()
    reader.feed(page)
    found = []
    for rest in reader.texts:
        for word in typed:
            rest = rest.replace(word, " ")
        if _PROSE.search(rest):
            found.append(" ".join(rest.split())[:200])
    return found

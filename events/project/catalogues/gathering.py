"""Finds every message that is marked for translation, in Python and in templates."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from babel.messages.extract import extract_from_file
from django.template import engines
from django.template.base import Template
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

VOCABULARY = "fixtures/tricks.toml"
FOLDERS = ("events", "riders", "runsheets", "templates")
# What marks a message, and which of its arguments are (context, message, plural).
KEYWORDS = {
    "_": None,
    "mark": None,
    "mark_in": ((1, "c"), 2),
    "gettext": None,
    "gettext_lazy": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
_IN_TAG = re.compile(r"""\b_\((?P<quote>["'])(?P<text>.*?)(?P=quote)\)""")
_TAG = re.compile(r"{[{%].*?[%}]}", re.DOTALL)


@dataclass(frozen=True, order=True)
class Message:
    """One message: what it is looked up by, its plural ("" for none), and its context."""

    text: str
    plural: str = ""
    context: str = ""

    @property
    def key(self) -> str | tuple[str, str]:
        """As Babel's catalogues name it."""
        return (self.text, self.plural) if self.plural else self.text


def gather(base: Path, folder: str) -> dict[Message, set[str]]:
    """The messages of one folder of the project, each with the files that say it."""
    found: dict[Message, set[str]] = {}
    for path in sorted((base / folder).rglob("*")):
        if path.suffix == ".py" and "migrations" not in path.parts:
            messages = in_python(path)
        elif folder == "templates" and path.suffix in (".html", ".txt", ".js"):
            messages = in_template(path.read_text("utf-8"))
        else:
            continue
        for message in messages:
            found.setdefault(message, set()).add(path.relative_to(base).as_posix())
    if folder == "events":
        for message in in_vocabulary(base / VOCABULARY):
            found.setdefault(message, set()).add(VOCABULARY)
    return found


def in_vocabulary(path: Path) -> Iterator[Message]:
    """What is noted beside the tricks; their names are the trade's in every language."""
    for trick in tomllib.loads(path.read_text("utf-8"))["trick"]:
        if trick.get("note"):
            yield Message(trick["note"], "", "trick")


def in_python(path: Path) -> Iterator[Message]:
    """The messages of a Python file."""
    extracted = extract_from_file("python", path, keywords=KEYWORDS)
    for _line, message, _comments, context in extracted:
        one, many = message if isinstance(message, tuple) else (message, "")
        yield Message(one, many, context or "")


def in_template(source: str) -> Iterator[Message]:
    """The messages of a template, as the template engine itself understands them."""
    template = Template(source, engine=engines["django"].engine)
    for node in template.nodelist.get_nodes_by_type(TranslateNode):
        text = node.filter_expression.var.literal  # None where a variable is translated
        if text is not None:
            yield Message(_doubled(text), "", _context(node))
    for node in template.nodelist.get_nodes_by_type(BlockTranslateNode):
        many = _block_text(node, node.plural) if node.plural else ""
        yield Message(_block_text(node, node.singular), many, _context(node))
    for tag in _TAG.finditer(source):
        for found in _IN_TAG.finditer(tag.group()):
            yield Message(_doubled(found["text"]))


def _doubled(text: str) -> str:
    """As the engine looks it up: with every percent sign written twice."""
    return str(text).replace("%", "%%")


def _context(node: TranslateNode | BlockTranslateNode) -> str:
    return str(node.message_context.var) if node.message_context else ""


def _block_text(node: BlockTranslateNode, tokens: list[Any]) -> str:
    text, _variables = node.render_token_list(tokens)
    return text

"""What is wrong with a catalogue: what a test asks of every language that is offered."""

import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Message

from events.project.catalogues.files import path_of, read, refreshed
from events.project.catalogues.gathering import FOLDERS

_NAMES = re.compile(r"%\((\w+)\)s|(?<!{)\{(\w*)[^{}]*\}(?!})")
_TAGS = re.compile(r"</?[a-z][^>]*>")


def faults(base: Path, language: str) -> Iterator[str]:
    """One sentence for each fault, with the message that has it."""
    said: dict[tuple[str, str], str] = {}
    for folder in FOLDERS:
        stored = read(path_of(base, folder, language), language)
        now = refreshed(base, folder, language)
        old, fresh = ({_key(m) for m in catalogue if m.id} for catalogue in (stored, now))
        yield from (
            f"{folder}: not in the catalogue: {key[0]!r}" for key in sorted(fresh - old)
        )
        yield from (f"{folder}: said no more: {key[0]!r}" for key in sorted(old - fresh))
        for message in now:
            if not message.id:
                continue
            yield from (f"{folder}: {fault}: {message.id!r}" for fault in faults_of(message))
            before = said.setdefault(_key(message), str(message.string))
            if before != str(message.string):
                yield f"{folder}: translated in two ways: {message.id!r}"


def _key(message: Message) -> tuple[str, str]:
    one = message.id if isinstance(message.id, str) else message.id[0]
    return one, message.context or ""


def faults_of(message: Message) -> Iterator[str]:
    """What is wrong with one translation."""
    sources = message.id if message.pluralizable else (message.id,)
    said = message.string if message.pluralizable else (message.string,)
    if not all(said):
        yield "not translated"
        return
    allowed = {name for source in sources for name in _names(source)}
    for source, text in zip((sources[0], *(sources[-1:] * len(said))), said, strict=False):
        extra = _names(text) - allowed
        lost = set() if message.pluralizable else _names(source) - _names(text)
        if extra or lost:
            yield f"other names in braces ({', '.join(sorted(extra | lost))})"
        if sorted(_TAGS.findall(source)) != sorted(_TAGS.findall(text)):
            yield "other elements"
        if (source[:1].isspace(), source[-1:].isspace()) != (
            text[:1].isspace(), text[-1:].isspace(),
        ):  # fmt: skip
            yield "other space at its ends"
    if message.pluralizable and len(said) > 1 and _names(sources[-1]) - _names(said[-1]):
        yield "a plural without a name of its English"


def _names(text: str) -> set[str]:
    return {one or two for one, two in _NAMES.findall(text)}

"""Finds what is left in English in a text that was said in German."""

import re
from collections.abc import Iterable

from events.rules.vocabulary import standard_vocabulary
from tests.german import english

ENGLISH = english(
    "or", "be", "no", "these", "without", "to", "must", "may", "can", "cannot", "only", "here",
    "more", "than", "its", "at most", "at least", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "first", "second", "third", "fourth", "fifth", "pass",
    "passes", "run", "tricks? in", "stated", "organiser", "write", "give", "say", "take", "put",
    "entry", "number",
)  # fmt: skip
BRACES = re.compile(r"\{[a-z_]*\}")
# What people or files wrote stays as it was: in quotation marks, with marks of the file, or
# the name of a trick.
QUOTED = re.compile(r"„[^“]*“|“[^”]*”|\"[^\"]*\"|'[^']*'|`[^`]*`|\[\[\w+\]\]|\{ .* \}")
NAMES = re.compile(
    "|".join(
        re.escape(each.name)
        for each in sorted(standard_vocabulary().tricks, key=lambda each: -len(each.name))
    ),
    re.IGNORECASE,
)


def english_in(text: str) -> list[str]:
    """The English words of a German text, apart from names and quotations."""
    return ENGLISH.findall(NAMES.sub("", QUOTED.sub("", text)))


def assert_said(german: Iterable[str], english: Iterable[str]) -> None:
    """As many texts, each of them translated, with nothing left over."""
    for said, before in zip(german, english, strict=True):
        assert bool(said) is bool(before)
        assert not before or said != before
        assert not BRACES.search(said), said
        assert not english_in(said), said

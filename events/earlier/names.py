"""Names carried over from an earlier year. Pure Python."""

import re
from collections.abc import Sequence
from itertools import takewhile

# What our own exports put after the division: "-draft", or the number of an edition.
_TAIL = re.compile(r"(?:-draft|-\d{1,3})?(?:\s*\(\d+\))?$")


def next_name(name: str, before: int, after: int) -> str:
    """The name of an event with the year in it moved on."""
    return re.sub(rf"(?<!\d){before}(?!\d)", str(after), name)


def division_names(files: Sequence[str], known: Sequence[tuple[str, str]]) -> list[str]:
    """What the division of each format file is called.

    The names of files end with the division as addresses write it, after the event. `known`
    are (name, name as in addresses) that entries kept of the event speak of; without them the
    part that all files begin with is taken for the event.
    """
    stems = [_TAIL.sub("", re.sub(r"\.toml$", "", file.strip(), flags=re.I)) for file in files]
    head = _shared_words(stems) if len(stems) > 1 else 0
    return [
        _known(stem, known) or _words("-".join(stem.split("-")[head:])) or _words(stem)
        for stem in stems
    ]


def _shared_words(stems: list[str]) -> int:
    """How many words all of them begin with."""
    columns = zip(*(stem.split("-") for stem in stems), strict=False)
    return sum(1 for _ in takewhile(lambda words: len(set(words)) == 1, columns))


def _known(stem: str, known: Sequence[tuple[str, str]]) -> str:
    plain = f"-{stem.casefold()}"
    fits = [(len(slug), name) for name, slug in known if slug and plain.endswith(f"-{slug}")]
    return max(fits)[1] if fits else ""


def _words(stem: str) -> str:
    text = " ".join(re.split(r"[-_\s]+", stem)).strip()
    return (text[:1].upper() + text[1:])[:80]

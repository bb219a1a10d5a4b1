"""The first steps of organisers, riders and the table: what they are told, and what is done.

A file of `fixtures/first_steps` holds one tutorial, and a folder in it named by the code of a
language holds them in that language, with pictures of the pages in it. Each step has the text
that people read and the acts that a browser does when the tests walk it. The text names a
button, a field or a heading between asterisks; the acts name the same ones, and a test compares
the two, so that neither changes without the other. `pictures.json` says how large each picture
is and which words could be read on the page when it was taken.
"""

import json
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from events.rules.language import gettext as _
from events.rules.language import mark, spoken

FOLDER = Path(__file__).parents[1] / "fixtures" / "first_steps"
PICTURES = "buoyline/first_steps"  # below the static files
TAKEN = "pictures.json"  # in the folder of each language
SOURCE = "en"
ROLES = {"organiser": mark("Organiser"), "rider": mark("Rider"), "table": mark("Table")}
WHO = tuple(ROLES)

# What an act names must stand in the text, except for these: they say where, or when.
SILENT = frozenset({"go", "in", "picture"})
_NAMED = re.compile(r"\*([^*]+)\*")


@dataclass(frozen=True, slots=True)
class Said:
    """A piece of a text; `is_name` if it is the name of something on the page."""

    words: str
    is_name: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of the page. `around` selects the parts of the page that it shows."""

    name: str
    alternative: str
    around: tuple[str, ...]
    width: int = 0
    height: int = 0
    language: str = SOURCE

    @property
    def file(self) -> str:
        """The static file."""
        return f"{pictures_of(self.language)}/{self.name}.png"


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered step. An act is a verb, the name of a thing, and what is put there.

    `care` is a caution that stands on the page at this step, word for word.
    """

    title: str
    text: str
    acts: tuple[tuple[str, ...], ...]
    picture: Picture | None = None
    care: str = ""

    def paragraphs(self) -> list[list[Said]]:
        """The text to read, with the names in it told apart."""
        return [list(_said(each)) for each in self.text.strip().split("\n\n")]

    def told_names(self) -> set[str]:
        """What the text names."""
        return set(_NAMED.findall(self.text.replace("\n", " ")))

    def used_names(self) -> set[str]:
        """What the acts need, and a reader has to be told."""
        return {each[1] for each in self.acts if each[0] not in SILENT}

    def chosen(self) -> set[str]:
        """What the acts choose from lists; the text may name it."""
        return {each[2] for each in self.acts if each[0] == "choose"}


@dataclass(frozen=True, slots=True)
class Tutorial:
    """The page of one kind of people."""

    who: str
    title: str
    lead: str
    before: str
    steps: tuple[Step, ...]
    after: str
    language: str = SOURCE

    @property
    def role(self) -> str:
        """What these people are called."""
        return _(ROLES[self.who])


def tutorial(who: str, language: str = "") -> Tutorial:
    """The tutorial for "organiser", "rider" or "table", in the language that is spoken now or
    another one; in English where it is not written in that language.

    Raises KeyError for anybody else, and for a file that lacks something.
    """
    if who not in WHO:
        raise KeyError(who)
    wanted = language or spoken()
    return _tutorial(who, wanted if wanted in languages() else SOURCE)


def languages() -> tuple[str, ...]:
    """The codes of the languages that the tutorials are written in."""
    return (SOURCE, *sorted(each.name for each in FOLDER.iterdir() if each.is_dir()))


@lru_cache(maxsize=64)
def _tutorial(who: str, language: str) -> Tutorial:
    file = folder_of(language) / f"{who}.toml"
    told = tomllib.loads(file.read_text(encoding="utf-8"))
    sizes = taken(language)
    steps = tuple(
        Step(
            title=each["title"],
            text=each["text"],
            acts=tuple(tuple(act) for act in each["acts"]),
            picture=_picture(each["picture"], sizes, language) if "picture" in each else None,
            care=each.get("care", ""),
        )
        for each in told["steps"]
    )
    return Tutorial(
        who, told["title"], told["lead"], told["before"], steps, told["after"], language
    )


def folder_of(language: str) -> Path:
    """Where the files of a language lie."""
    return FOLDER if language == SOURCE else FOLDER / language


def pictures_of(language: str) -> str:
    """Where its pictures lie, below the static files."""
    return PICTURES if language == SOURCE else f"{PICTURES}/{language}"


def taken(language: str = SOURCE) -> dict[str, dict[str, object]]:
    """By picture: its `width` and `height` on the page in pixels, its `sum` and its `words`;
    nothing before the first picture is taken."""
    file = folder_of(language) / TAKEN
    if not file.exists():
        return {}
    read: dict[str, dict[str, object]] = json.loads(file.read_text(encoding="utf-8"))
    return read


def _picture(
    told: dict[str, object], sizes: dict[str, dict[str, object]], language: str
) -> Picture:
    name = str(told["name"])
    around = told["around"]
    size = sizes.get(name, {})
    return Picture(
        name=name,
        alternative=str(told["alternative"]),
        around=tuple(around) if isinstance(around, list) else (str(around),),
        width=int(str(size.get("width", 0))),
        height=int(str(size.get("height", 0))),
        language=language,
    )


def _said(paragraph: str) -> Iterator[Said]:
    pieces = _NAMED.split(" ".join(paragraph.split()))
    for at, words in enumerate(pieces):
        if words:
            yield Said(words, is_name=at % 2 == 1)

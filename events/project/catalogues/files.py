"""The catalogue files: one for each language and folder, and one compiled for each language.

A catalogue is `FOLDER/locale/LANGUAGE/LC_MESSAGES/django.po`, where every tool for translators
expects it. They are compiled into one file in the local state, which is the one that is read.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from babel.messages import mofile, pofile
from babel.messages.catalog import Catalog
from django.core.files import locks

from events.project.catalogues.gathering import FOLDERS, gather

HEADER = (
    "# The words of Buoyline in another language; the English is what they are looked up by."
)
PLACE = Path("LC_MESSAGES") / "django.po"


def path_of(base: Path, folder: str, language: str) -> Path:
    """Where the catalogue of one folder in one language lies."""
    return base / folder / "locale" / language / PLACE


def languages(base: Path) -> list[str]:
    """The codes of the languages that the project has catalogues in."""
    found = {
        path.parts[-3] for folder in FOLDERS for path in base.glob(f"{folder}/locale/*/{PLACE}")
    }
    return sorted(found)


def read(path: Path, language: str) -> Catalog:
    """A catalogue; an empty one where there is no file yet."""
    if not path.exists():
        return _empty(language)
    with path.open("rb") as file:
        return pofile.read_po(file, locale=language, abort_invalid=True)


def _empty(language: str, like: Catalog | None = None) -> Catalog:
    """A catalogue without messages; `like` is one whose dates it takes over."""
    dates = {}
    if like:
        dates = {"creation_date": like.creation_date, "revision_date": like.revision_date}
    return Catalog(
        language, project="Buoyline", version="1", fuzzy=False, header_comment=HEADER,
        msgid_bugs_address="-", last_translator="Buoyline", language_team="Buoyline", **dates,
    )  # fmt: skip


def as_bytes(catalogue: Catalog) -> bytes:
    """The text of a catalogue; messages stand in the order of their English."""
    buffer = BytesIO()
    pofile.write_po(
        buffer, catalogue, width=0, sort_output=True, ignore_obsolete=True, include_lineno=False
    )
    return buffer.getvalue()


def write(path: Path, content: bytes) -> None:
    """Store a file, all at once."""
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_suffix(".fresh")
    fresh.write_bytes(content)
    fresh.replace(path)


@contextmanager
def one_at_a_time(base: Path) -> Iterator[None]:
    """Wait until nobody else rewrites the catalogues of this project."""
    with (base / "pyproject.toml").open("rb") as file:
        locks.lock(file, locks.LOCK_EX)
        yield


def refreshed(base: Path, folder: str, language: str, *others: Catalog) -> Catalog:
    """The catalogue of what the folder's files say now.

    Translations are taken from the first of `others` that has one, then from the file that is
    there. A message that no file says any more is left out.
    """
    known = read(path_of(base, folder, language), language)
    fresh = _empty(language, known)
    for message, files in gather(base, folder).items():
        context = message.context or None
        said = ("", "") if message.plural else ""
        for catalogue in (*others, known):
            old = catalogue.get(message.text, context)
            if old and bool(old.pluralizable) == bool(message.plural) and _whole(old.string):
                said = old.string
                break
        places = [(name, 1) for name in sorted(files)]
        fresh.add(message.key, said, locations=places, context=context)
    return fresh


def _whole(string: str | tuple[str, ...]) -> bool:
    return all(string) if isinstance(string, tuple) else bool(string)


def untranslated(catalogue: Catalog, within: str = "") -> Catalog:
    """The messages without a translation, of the files whose path begins with `within`."""
    rest = _empty(catalogue.locale_identifier, catalogue)
    for message in catalogue:
        here = any(name.startswith(within) for name, _line in message.locations)
        if message.id and here and not _whole(message.string):
            rest.add(
                message.id, message.string, locations=message.locations, context=message.context
            )
    return rest


def compile_into(base: Path, state: Path, language: str) -> Path:
    """Compile all catalogues of a language into one file below `state`; returns its path."""
    whole = Catalog(language, fuzzy=False)
    for folder in FOLDERS:
        for message in read(path_of(base, folder, language), language):
            if message.id and _whole(message.string):
                whole.add(message.id, message.string, context=message.context)
    buffer = BytesIO()
    mofile.write_mo(buffer, whole)
    path = compiled(state, language)
    write(path, buffer.getvalue())
    return path


def compiled(state: Path, language: str) -> Path:
    """Where the compiled translations of a language lie."""
    return state / "locale" / language / PLACE.with_suffix(".mo")

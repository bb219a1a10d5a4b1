"""The faces of printed sheets, and what of a text they can draw.

Body text is Noto Sans, which has Latin with Vietnamese, Greek and Cyrillic. Its package
carries one variable file; reportlab takes that as the regular weight, while the bold weight
is made from it once and kept. Big numerals and headings are Barlow Condensed where it has
all the letters. Both are under the SIL Open Font License 1.1.
"""

import os
import threading
import unicodedata
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import fontpkg_barlow_condensed
import fontpkg_noto_sans
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD, HEAD = "Sheet-Regular", "Sheet-Bold", "Sheet-Head"
NOTO_FILE = Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf"
HEAD_FILE = Path(fontpkg_barlow_condensed.ROOT) / "files" / "BarlowCondensed-Bold.ttf"
BOLD_NAME = "noto-sans-bold-2.015.ttf"
LICENCE_NAME = "noto-sans-licence.txt"
BOLD_WEIGHT = 700
# Family, style, full and PostScript name: reportlab takes two fonts of one name for one.
BOLD_NAMES = {1: "Noto Sans", 2: "Bold", 4: "Noto Sans Bold", 6: "NotoSans-Bold"}
# Tables for shaping and for scaling along the axes: reportlab reads none of them.
UNREAD_TABLES = ("GSUB", "GPOS", "GDEF", "STAT", "avar", "MVAR")
MISSING = "\N{REPLACEMENT CHARACTER}"

# Every PDF carries faces and comes through here. Its streams are bytes instead of letters:
# smaller by a fifth, and quicker to write.
rl_config.useA85 = 0

_once = threading.Lock()


def bold_file(folder: Path) -> Path:
    """The bold weight as a file in `folder`, made there first if it is missing (seconds).

    It appears complete or not at all, so that several processes may make it at once.
    Raises OSError if it cannot be written.
    """
    target = folder / BOLD_NAME
    if target.exists():
        return target
    from fontTools.ttLib import TTFont as FontFile
    from fontTools.varLib.instancer import instantiateVariableFont

    folder.mkdir(parents=True, exist_ok=True)
    font: Any = FontFile(NOTO_FILE, recalcTimestamp=False)
    for table in UNREAD_TABLES:
        if table in font:
            del font[table]
    instantiateVariableFont(font, {"wght": BOLD_WEIGHT, "wdth": 100}, inplace=True)
    for number, name in BOLD_NAMES.items():
        font["name"].setName(name, number, 3, 1, 0x409)
    draft = target.with_suffix(f".{os.getpid()}-{threading.get_ident()}.part")
    try:
        font.save(draft)
        (folder / LICENCE_NAME).write_bytes(_licence())
        draft.replace(target)
    finally:
        draft.unlink(missing_ok=True)
    return target


def _licence() -> bytes:
    return (Path(fontpkg_noto_sans.ROOT) / "LICENSE").read_bytes()


def bold_or_regular(folder: Path) -> Path:
    """The bold weight, or the regular one where nothing can be written to `folder`.

    A sheet in one weight is better than no sheet.
    """
    try:
        return bold_file(folder)
    except OSError:
        return NOTO_FILE


def load_faces(folder: Path) -> "Faces":
    """The three faces, known to reportlab from then on; `folder` keeps the bold weight."""
    with _once:
        known = pdfmetrics.getRegisteredFontNames()
        if not {REGULAR, BOLD, HEAD} <= set(known):
            bold = bold_or_regular(folder)
            for name, file in ((REGULAR, NOTO_FILE), (BOLD, bold), (HEAD, HEAD_FILE)):
                pdfmetrics.registerFont(TTFont(name, str(file)))
    return _faces()


@cache
def _faces() -> "Faces":
    """Always the same object: texts that were set are looked up by it, and comparing two
    sets of thousands of characters each time would take longer than setting the text."""
    return Faces(*(frozenset(_glyphs(name)) for name in (REGULAR, BOLD, HEAD)))


def _glyphs(name: str) -> dict[int, int]:
    glyphs: dict[int, int] = pdfmetrics.getFont(name).face.charToGlyph
    return glyphs


@dataclass(frozen=True)
class Faces:
    """The characters that each face has."""

    regular: frozenset[int]
    bold: frozenset[int]
    head: frozenset[int]

    def choose(self, text: str, wanted: str) -> str:
        """The face for a whole text: the wanted one, or bold where the headings' lacks some."""
        if wanted == HEAD and any(ord(each) not in self.head for each in text):
            return BOLD
        return wanted

    def printable(self, text: str) -> str:
        """One line of text that can be drawn as it is.

        Letters and marks are joined, spaces of any kind become plain single spaces,
        invisible controls go, and U+FFFD stands for each character that no face has.
        """
        joined = unicodedata.normalize("NFC", text)
        kept = (each for each in joined if each.isspace() or not _invisible(each))
        line = " ".join("".join(kept).split())
        return "".join(each if ord(each) in self.regular else MISSING for each in line)


def _invisible(character: str) -> bool:
    return unicodedata.category(character) in {"Cc", "Cf"}

"""Small web fonts for headings, cut from an installed font package. Body text needs none.

Barlow Condensed is under the SIL Open Font License 1.1, which asks that every copy carries
its notice: the licence is written beside the files and stays in their name tables.
"""

import json
from importlib import util
from pathlib import Path
from typing import Any

PACKAGE = "fontpkg_barlow_condensed"
WEIGHTS = (500, 600, 700)
LICENCE_NAME = "heading-licence.txt"
# Latin and Latin Extended as web fonts commonly cut them, with the punctuation, currency
# and arrows that headings use.
RANGES = (
    (0x0020, 0x007E),
    (0x00A0, 0x02AF),
    (0x02BB, 0x02DD),
    (0x0300, 0x0331),
    (0x1E00, 0x1E9F),
    (0x1EF2, 0x1EFF),
    (0x2010, 0x205F),
    (0x20A0, 0x20BF),
    (0x2113, 0x2122),
    (0x2190, 0x2193),
    (0x2212, 0x2215),
)


class FontsUnavailable(Exception):
    """A package that is needed to make the fonts is missing; the text says which."""


def build_web_fonts(folder: Path) -> list[Path]:
    """Write heading-500.woff2, -600 and -700 to `folder`; return those newly written.

    Files that are there already stay as they are. Raises FontsUnavailable if the font
    package, fontTools or brotli is missing or lacks a file, and OSError if nothing can be
    written.
    """
    missing = [weight for weight in WEIGHTS if not _target(folder, weight).exists()]
    if not missing:
        return []
    for name in (PACKAGE, "fontTools", "brotli"):
        if util.find_spec(name) is None:
            raise FontsUnavailable(f"the Python package {name} is not installed")
    root = _package_root()
    sources = _sources(root)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / LICENCE_NAME).write_bytes((root / "LICENSE").read_bytes())
    return [_subset(sources[weight], _target(folder, weight)) for weight in missing]


def _target(folder: Path, weight: int) -> Path:
    return folder / f"heading-{weight}.woff2"


def _package_root() -> Path:
    spec = util.find_spec(PACKAGE)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


def _sources(root: Path) -> dict[int, Path]:
    """The upright font file of each weight, as the package's own list names them."""
    listed: dict[str, Any] = json.loads((root / "metadata.json").read_text("utf-8"))
    found = {f["weight"]: root / f["path"] for f in listed["files"] if f["style"] == "normal"}
    absent = [str(weight) for weight in WEIGHTS if weight not in found]
    if absent:
        raise FontsUnavailable(f"{PACKAGE} has no upright weight {', '.join(absent)}")
    return found


def _subset(source: Path, target: Path) -> Path:
    """Cut `source` down to RANGES and write it as woff2, complete or not at all."""
    from fontTools import subset

    options = subset.Options(flavor="woff2", layout_features=["kern", "liga", "mark", "tnum"])
    options.hinting = False
    options.recalc_timestamp = False  # the same package gives the same file
    options.name_IDs = [0, 1, 2, 4, 6, 13, 14]  # 0, 13 and 14 are copyright and licence
    font = subset.load_font(str(source), options)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[n for low, high in RANGES for n in range(low, high + 1)])
    subsetter.subset(font)
    draft = target.with_suffix(".part")
    subset.save_font(font, str(draft), options)
    return draft.replace(target)

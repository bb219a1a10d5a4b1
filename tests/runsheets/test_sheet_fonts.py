"""The faces of printed sheets: what they can draw, and how the bold one is made."""

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from django.conf import settings

from runsheets.pdf.fonts import MISSING, bold_file, bold_or_regular, load_faces

FONTS = settings.STATE_DIR / "fonts"


def test_printable_text_is_one_line_of_known_characters():
    faces = load_faces(FONTS)
    assert faces.printable("e\u0301\u200b  a\n\tb\x07") == "\u00e9 a b"
    assert faces.printable("\ud800") == MISSING


def test_the_faces_are_looked_up_once():
    """Every set text is kept by its faces: two equal ones would be compared letter by letter."""
    assert load_faces(FONTS) is load_faces(FONTS)


def test_two_processes_may_make_the_bold_face_at_once(tmp_path: Path):
    """Both get the same complete file, its licence lies beside it, and no draft is left."""
    with ProcessPoolExecutor(2) as pool:
        made = list(pool.map(bold_file, [tmp_path, tmp_path]))
    assert made[0] == made[1]
    assert sorted(each.suffix for each in tmp_path.iterdir()) == [".ttf", ".txt"]
    assert made[0].read_bytes() == bold_file(FONTS).read_bytes()


def test_without_a_place_to_keep_it_the_regular_face_stands_in(tmp_path: Path):
    occupied = tmp_path / "file"
    occupied.write_text("not a folder")
    assert bold_or_regular(occupied / "fonts").name.startswith("NotoSans[")

"""Published formats for the tests: each a file that names its source."""

from pathlib import Path

from events.rules.answers import answers
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.legality import legality
from events.rules.loading import effective, load_format
from events.rules.notation import read_run

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"
FILES = sorted(path.stem for path in FOLDER.glob("*.toml"))


def published(name: str) -> Format:
    """The format in a file."""
    return load_format((FOLDER / f"{name}.toml").read_text("utf-8"))


def look(
    name: str, notation: str, division: str | None = None, round: str | None = None
) -> list[Finding]:
    """What the rules find in a run under a published format."""
    format = effective(published(name), division, round)
    return legality(read_run(notation), format, division, round)


def codes(
    found: list[Finding], *grades: Grade
) -> list[tuple[str, str, int | None, int | None]]:
    """The findings of some grades in short; by default what breaks a rule or is not counted."""
    wanted = grades or (Grade.RULE, Grade.UNCOUNTED)
    return [(f.code, str(f.grade), f.pass_no, f.position) for f in found if f.grade in wanted]


def divisions(format: Format) -> list[str | None]:
    """Every division that an override names, and none."""
    return [None, *(name for each in format.overrides for name in each.divisions or ())]


def told_of(name: str, code: str, division: str | None = None) -> tuple[str, ...]:
    """The sentences of one answer of a published format."""
    (answer,) = [
        each for each in answers(effective(published(name), division)) if each.code == code
    ]
    return answer.sentences

"""Shorthand for tests of the rules: formats from TOML, runs from notation."""

from collections.abc import Callable

import pytest

from events.rules.findings import Finding
from events.rules.legality import legality
from events.rules.loading import effective, load_format
from events.rules.notation import read_run

Look = Callable[..., list[Finding]]


@pytest.fixture
def look() -> Look:
    """Check a run in notation against a format in TOML."""

    def check(toml: str, notation: str, **where: str | None) -> list[Finding]:
        division, round = where.get("division"), where.get("round")
        format = effective(load_format(toml), division, round, where.get("boat"))
        return legality(read_run(notation), format, division, round)

    return check

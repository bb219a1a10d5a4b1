"""Golden runs: texts, and everything that a check must find in them.

The runs are in fixtures/golden/runs_*.toml with their figures worked out by hand.
"""

import tomllib
from pathlib import Path

import pytest

from events.rules.findings import Grade
from events.rules.loading import effective, load_format
from events.rules.notation import read_run, write_run
from riders.planning.check import Check, check
from riders.planning.route import Foot, Side
from riders.planning.whatif import follow

FIXTURES = Path(__file__).parents[2] / "fixtures"
GOLDEN = [
    run
    for path in sorted((FIXTURES / "golden").glob("runs_*.toml"))
    for run in tomllib.loads(path.read_text("utf-8"))["run"]
]
KEYS = {
    "id", "why", "format", "notation", "stance", "side", "division", "round", "legal",
    "findings", "advice", "metres", "moves", "dropped", "takeoffs", "survival", "story",
}  # fmt: skip


def ridden(golden: dict) -> Check:
    """The whole check of a golden run."""
    format = load_format((FIXTURES / golden["format"]).read_text("utf-8"))
    where = {"division": golden.get("division"), "round": golden.get("round")}
    return check(
        read_run(golden["notation"]),
        effective(format, where["division"], where["round"]),
        foot=Foot(golden.get("stance", "left")),
        side=Side(golden.get("side", "starboard")),
        **where,
    )


def place(pass_no: int | None, position: int | None) -> str:
    return f"{pass_no or ''}" + (f".{position}" if position else "")


def short(findings, *, advice: bool) -> list[str]:
    """The findings as "code pass.position", those of advice or all others."""
    return [
        f"{f.code} {place(f.pass_no, f.position)}".strip()
        for f in findings
        if (f.grade is Grade.ADVICE) is advice and f.code != "chance-missing"
    ]


def test_the_corpus():
    """Enough runs, with names of their own and nothing misspelt."""
    assert len(GOLDEN) >= 25
    assert len({run["id"] for run in GOLDEN}) == len(GOLDEN)
    assert all(set(run) <= KEYS for run in GOLDEN)
    assert sum("survival" in run for run in GOLDEN) >= 10


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["id"])
def test_golden_run(golden):
    """Findings, route, figures and story are those written down."""
    found = ridden(golden)
    why = golden["why"]

    assert found.is_legal is golden["legal"], why
    assert short(found.findings, advice=False) == golden["findings"], why
    assert set(golden.get("advice", [])) <= set(short(found.findings, advice=True)), why
    assert_route(found, golden)
    assert_survival(found, golden)
    if "story" in golden:
        assert_story(found, golden)


def assert_route(found: Check, golden: dict) -> None:
    steps = list(found.route.steps())
    moves = [f"{place(s.pass_no, s.position)} {move}" for s in steps for move in s.moves]
    dropped = [place(step.pass_no, step.position) for step in found.route.dropped]

    assert [each.metres for each in found.route.passes] == pytest.approx(golden["metres"])
    assert moves == golden.get("moves", moves)
    assert dropped == golden.get("dropped", [])
    if "takeoffs" in golden:
        assert [step.takeoff_m for step in steps] == pytest.approx(golden["takeoffs"])


def assert_survival(found: Check, golden: dict) -> None:
    figures = golden.get("survival")
    # Of a run with nothing in it there is nothing to tell.
    chances = [place.planned.likelihood for place in found.run.places()]
    unknown = not chances or None in chances
    assert (found.survival.clean is None) is unknown
    if figures is None:
        return
    assert not unknown
    for name, figure in figures.items():
        if name == "reach":
            assert [odds.reach for odds in found.survival.tricks] == pytest.approx(figure)
        else:
            assert getattr(found.survival, name) == pytest.approx(figure), name
    if set(figures) == {"clean"}:
        assert found.survival.complete is None


def assert_story(found: Check, golden: dict) -> None:
    format = load_format((FIXTURES / golden["format"]).read_text("utf-8"))
    story = follow(found.run, format, found.route)
    missed = [place(each.pass_no, each.position) for each in story.not_reached]

    assert str(story.ending) == golden["story"]["ending"]
    assert story.falls == golden["story"]["falls"]
    assert story.certain is golden["story"]["certain"]
    assert missed == golden["story"]["not_reached"]


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["id"])
def test_notation_round_trips(golden):
    """Written out and read back it is the same run, and is found the same."""
    run = read_run(golden["notation"])

    assert read_run(write_run(run)) == run

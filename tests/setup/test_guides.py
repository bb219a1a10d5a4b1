"""The guides say what the code does: finding codes, dependencies, commands."""

import ast
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from django.core.management import call_command

BASE = Path(__file__).resolve().parents[2]
CODE = re.compile(r"[a-z]+(?:-[a-z]+)+")
SAID_BY = {"Finding", "finding_at", "_advice", "_unstated", "say", "unsure"}
# Put together from parts in the code, so that a search cannot find them.
JOINED = {
    "repeat", "double-up-round-open", "double-up-division-open", "hardest-trick-early",
    "hardest-trick-mid-pass", "run-ended", "pass-ended", "variety-edges", "variety-stance",
    "variety-spins", "variety-grabs", "variety-inverts", "differs-by-division",
    "differs-by-round", "differs-by-boat", "division-not-named", "round-not-named",
    "boat-not-named", "repeat-edge-open", "repeat-direction-open",
}  # fmt: skip


def documented() -> set[str]:
    """The codes in the table of the guide."""
    text = (BASE / "DEVELOPERS.md").read_text("utf-8")
    table = text.split("<!-- codes -->")[1].split("<!-- /codes -->")[0]
    return set(re.findall(r"`([a-z-]+)`", table))


def emitted() -> set[str]:
    """The codes that the engine's calls name."""
    files = [
        *(BASE / "events/rules").glob("rules_*.py"),
        *(BASE / "riders/planning").glob("*.py"),
    ]
    return {code for file in files for code in _codes(ast.parse(file.read_text("utf-8")))}


def _codes(tree: ast.Module) -> set[str]:
    names = {
        target.id: node.value.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node.func) in SAID_BY:
            for given in node.args[:2]:
                value = (
                    names.get(getattr(given, "id", "")) if isinstance(given, ast.Name) else None
                )
                value = given.value if isinstance(given, ast.Constant) else value
                if isinstance(value, str) and CODE.fullmatch(value):
                    found.add(value)
    return found


def _name(called: ast.expr) -> str:
    return called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")


def test_every_code_of_the_engine_is_documented():
    assert emitted() <= documented()


def test_every_documented_code_exists():
    assert documented() - JOINED <= emitted()


def test_the_golden_runs_use_documented_codes():
    runs = [
        run
        for file in (BASE / "fixtures/golden").glob("runs_*.toml")
        for run in tomllib.loads(file.read_text("utf-8"))["run"]
    ]
    used = {str(code).split()[0] for run in runs for code in run.get("findings", [])}

    assert used <= documented()
    assert len(used) > 15


def test_every_dependency_has_its_reason():
    project = tomllib.loads((BASE / "pyproject.toml").read_text("utf-8"))["project"]
    text = (BASE / "DEVELOPERS.md").read_text("utf-8")
    for line in [*project["dependencies"], *project["optional-dependencies"]["dev"]]:
        name = re.split(r"[<>=\[]", line)[0]
        assert name in text, f"{name} has no reason in DEVELOPERS.md"


def test_the_readme_opens_with_the_job_and_has_both_commands():
    text = (BASE / "README.md").read_text("utf-8")

    assert text.split("\n\n")[1].startswith("A boat wakeboard club must tell every rider")
    assert "python3 manage.py demo" in text
    assert "python3 manage.py test" in text


def checks_in_the_readme() -> list[str]:
    """Every line that starts the check."""
    text = (BASE / "README.md").read_text("utf-8")
    return re.findall(r"^python3? manage\.py (check_run .+)$", text, re.MULTILINE)


def test_the_readme_shows_the_check():
    assert checks_in_the_readme()


@pytest.mark.parametrize("line", checks_in_the_readme())
def test_every_check_in_the_readme_ends_with_a_legal_run(line, monkeypatch, capsys):
    """An illegal or unreadable run raises; the check of a legal one returns."""
    monkeypatch.chdir(BASE)

    call_command(*shlex.split(line))

    assert capsys.readouterr().out.startswith("Legal:")

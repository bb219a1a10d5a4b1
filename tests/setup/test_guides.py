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


def reasons() -> dict[str, str]:
    """The table of dependencies: each package with its reason."""
    table = (BASE / "DEVELOPERS.md").read_text("utf-8").split("## Dependencies")[1]
    rows = [line.strip("| ").split("|", 1) for line in table.splitlines() if line[:1] == "|"][
        2:
    ]
    return {
        name.strip().casefold(): reason.strip()
        for names, reason in rows
        for name in re.sub(r"\(.*?\)", "", names).split(",")
    }


def test_every_dependency_has_a_row_and_every_row_a_dependency():
    project = tomllib.loads((BASE / "pyproject.toml").read_text("utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    asked = [line for each in lists for line in each]
    names = {re.split(r"[<>=\[;\s]", line)[0].casefold() for line in asked}
    # What a package brings along and the code imports by its own name.
    brought = {"django-tasks"}

    assert names <= set(reasons()), "each has its reason in DEVELOPERS.md"
    assert set(reasons()) - names <= brought, "no row outlives its package"
    assert all(len(reason) >= 5 for reason in reasons().values())


def test_every_dependency_is_held_to_a_range():
    project = tomllib.loads((BASE / "pyproject.toml").read_text("utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    open_ended = [line for each in lists for line in each if "<" not in line]

    assert open_ended == ["tzdata>=2025.2"], "the tz database has dates for versions"


def picture() -> list[str]:
    """The lines of the picture of the house."""
    text = (BASE / "DEVELOPERS.md").read_text("utf-8")
    return text.split("<!-- picture -->")[1].split("<!-- /picture -->")[0].splitlines()


def contracts() -> dict[str, dict]:
    """What `lint-imports` holds the code to, by name."""
    tools = tomllib.loads((BASE / "pyproject.toml").read_text("utf-8"))["tool"]
    return {each["type"]: each for each in tools["importlinter"]["contracts"]}


def test_the_picture_shows_the_layers_in_the_order_of_the_contract():
    order = re.findall(r"^ +\|  ([A-Z]+)  ", "\n".join(picture()), re.MULTILINE)

    assert [name.lower() for name in order] == contracts()["layers"]["layers"]


def test_the_picture_names_every_pure_module_of_the_contract():
    """In the box of its application, and nothing that is not held to it."""
    drawn: set[str] = set()
    app, going_on = "", False
    for line in picture():
        inside = line.strip().strip("|").strip()
        if found := re.match(r"([A-Z]{5,})  ", inside):
            app = found[1].lower()
        going_on = inside.startswith("pure ") or (
            going_on and re.fullmatch(r"[a-z_ ]+", inside)
        )
        if going_on:
            drawn |= {f"{app}.{name}" for name in inside.removeprefix("pure ").split()}

    assert drawn == set(contracts()["forbidden"]["source_modules"])


def test_the_steps_name_what_is_there():
    """Four steps each for a rule, a trick, a sheet and a page; files and names exist."""
    text = (BASE / "DEVELOPERS.md").read_text("utf-8")
    for what in ("rule", "trick", "sheet", "page"):
        (line,) = re.findall(rf"^\*\*A {what}\.\*\* (.+)$", text, re.MULTILINE)
        assert re.findall(r"(?:^| )(\d)\. ", line) == ["1", "2", "3", "4"], what
        for path in re.findall(r"`((?:events|riders|runsheets|tests|fixtures)/[^`*]+?)`", line):
            for each in path.split():
                assert (BASE / each).exists(), f"{what}: {each}"
    code = {name: (BASE / name).read_text("utf-8") for name in (
        "events/rules/legality.py", "runsheets/papers/pack.py", "runsheets/forms_print.py",
    )}  # fmt: skip
    assert "RULES = (" in code["events/rules/legality.py"]
    assert "PER_HEAT = {" in code["runsheets/papers/pack.py"]
    assert "def _of_kind(" in code["runsheets/papers/pack.py"]
    assert "WHAT_FOR = {" in code["runsheets/forms_print.py"]


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

"""The shape of the house: which way imports run, what is pure, what lies at the top."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parents[2]
APPS = ("events", "riders", "runsheets")  # each may import those before it
PURE_FOLDERS = (
    "events/rules", "riders/planning", "riders/pictures", "runsheets/papers",
    "runsheets/starting", "runsheets/timing", "runsheets/judging",
)  # fmt: skip
PURE_FILES = (
    "events/course_strip.py", "events/course_symbols.py", "events/first_steps.py",
    "riders/trend.py", "riders/eligibility.py",
    "riders/entry_files.py", "riders/spreadsheets.py",
    "runsheets/sheets.py", "runsheets/card.py",
)  # fmt: skip
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "manage.py",
    "pyproject.toml",
    "events",
    "riders",
    "runsheets",
    "templates",
    "tests",
    "fixtures",
}


def imports(source: str, package: str) -> Iterator[str]:
    """The modules that `source` imports anywhere, as full names.

    `package` is the package the source lies in, against which relative imports are read.
    """
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - node.level + 1]
            stem = ".".join([*(above if node.level else []), *filter(None, [node.module])])
            yield stem
            yield from (f"{stem}.{alias.name}" for alias in node.names)


def imports_of(path: Path) -> set[str]:
    package = ".".join(path.relative_to(BASE).parent.parts)
    return set(imports(path.read_text("utf-8"), package))


def pure_files() -> list[Path]:
    found = [path for folder in PURE_FOLDERS for path in sorted((BASE / folder).rglob("*.py"))]
    return found + [BASE / name for name in PURE_FILES]


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(BASE).with_suffix("").parts).removesuffix(".__init__")


def test_the_reader_of_imports_sees_every_kind() -> None:
    """Absolute, relative and local imports all count, names in strings do not."""
    source = (
        "import riders.models as m\nfrom .rules import run\nfrom .. import riders\n"
        "def f():\n    from runsheets.starting import draw\nlabel = 'runsheets.Heat'\n"
    )
    seen = set(imports(source, "events.sub"))
    assert {
        "riders.models",
        "events.sub.rules.run",
        "events.riders",
        "runsheets.starting.draw",
    } <= seen
    assert "runsheets.Heat" not in seen


@pytest.mark.parametrize("app", APPS)
def test_imports_run_one_way(app: str) -> None:
    """events imports neither riders nor runsheets; riders does not import runsheets."""
    later = set(APPS[APPS.index(app) + 1 :])
    files = sorted((BASE / app).rglob("*.py"))
    wrong = {
        module_name(path): sorted(bad)
        for path in files
        if (bad := {name for name in imports_of(path) if name.split(".")[0] in later})
    }
    assert files
    assert not wrong


def test_pure_modules_name_no_django_and_no_impure_module() -> None:
    """The engine imports no Django, and of this project only what is pure as well."""
    pure = {module_name(path) for path in pure_files()}
    assert "events.rules.trick" in pure
    for path in pure_files():
        for name in imports_of(path):
            top = name.split(".")[0]
            assert not top.startswith(("django", "crispy")), f"{path.name} imports {name}"
            if top in APPS:
                own = name in pure or name.rpartition(".")[0] in pure or name in APPS
                assert own, f"{path.name} imports {name}, which is not pure"


def test_pure_modules_load_where_django_is_not_installed() -> None:
    """Every pure module is imported by a Python that refuses to import Django."""
    names = [module_name(path) for path in pure_files()]
    code = (
        "import importlib, sys\n"
        "for name in ('django', 'crispy_forms', 'django_htmx'): sys.modules[name] = None\n"
        "sys.path.insert(0, '.')\n"
        "for name in sys.argv[1:]: importlib.import_module(name)\n"
        "try: import django\n"
        "except ImportError: print('loaded', len(sys.argv) - 1)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *names], cwd=BASE, capture_output=True, text=True
    )
    assert done.stderr == ""
    assert done.stdout.strip() == f"loaded {len(names)}"


@pytest.mark.parametrize("app", APPS)
def test_package_files_stay_empty(app: str) -> None:
    """Importing a package has no effect of its own."""
    full = [path for path in (BASE / app).rglob("__init__.py") if path.read_text().strip()]
    assert not full


def test_the_top_level_holds_only_what_it_is_for() -> None:
    """Local state, caches and reports stay in dot-folders."""
    seen = {path.name for path in BASE.iterdir() if not path.name.startswith(".")}
    assert seen - TOP - {"__pycache__"} == set()

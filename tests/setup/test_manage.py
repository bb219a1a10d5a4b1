"""manage.py says in one sentence what is missing, and repairs what it can. No network."""

import ast
import os
import shutil
import subprocess
import sys
import types
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parents[2]


@pytest.fixture
def manage() -> types.ModuleType:
    """A fresh copy of manage.py as a module; run from its text, so no cache file appears."""
    module = types.ModuleType("manage_under_test")
    module.__file__ = str(BASE / "manage.py")
    exec(compile((BASE / "manage.py").read_text("utf-8"), "manage.py", "exec"), vars(module))
    return module


def run(*arguments: str, cwd: Path = BASE, **environ: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py in this Python with a clean set of our own variables."""
    kept = {name: value for name, value in os.environ.items() if "BUOYLINE" not in name}
    return subprocess.run(
        [sys.executable, str(cwd / "manage.py"), *arguments],
        env=kept | {"DJANGO_SETTINGS_MODULE": "events.project.settings"} | environ,
        capture_output=True,
        text=True,
        timeout=120,
    )


def assert_one_sentence(text: str, *parts: str) -> None:
    assert "Traceback" not in text
    assert len(text.strip().splitlines()) == 1
    for part in parts:
        assert part in text


@pytest.mark.parametrize("version", [(3, 6, 15), (3, 10, 13, "final", 0), (2, 7)])
def test_an_old_python_is_told_which_one_to_install(manage, version) -> None:
    with pytest.raises(SystemExit) as stopped:
        manage.check_version(version)
    assert_one_sentence(str(stopped.value), "Python 3.11 or newer", f"Python {version[0]}.")


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12), (4, 0)])
def test_a_python_that_is_new_enough_is_taken(manage, version) -> None:
    assert manage.check_version(version) is None


def test_an_old_python_can_read_manage_py() -> None:
    """Nothing newer than Python 3.7 grammar, the oldest that `ast` can still tell apart."""
    text = (BASE / "manage.py").read_text("utf-8")
    tree = ast.parse(text, feature_version=(3, 7))
    top = [node for node in tree.body if isinstance(node, ast.Import)]
    assert "tomllib" not in {alias.name for node in top for alias in node.names}
    assert "__future__" not in text


def test_a_place_that_cannot_be_written_is_named(tmp_path) -> None:
    """A file stands where the folder should be, which stops even an administrator."""
    (tmp_path / "file").write_text("")
    done = run("check", BUOYLINE_STATE=str(tmp_path / "file" / "state"))
    assert done.returncode == 1
    assert_one_sentence(done.stderr, str(tmp_path / "file" / "state"), "BUOYLINE_STATE=FOLDER")


@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() == 0, reason="an administrator may write everywhere"
)
def test_a_read_only_folder_is_named(manage, tmp_path) -> None:
    tmp_path.chmod(0o555)
    with pytest.raises(SystemExit) as stopped:
        manage.state_folder({"BUOYLINE_STATE": str(tmp_path)})
    assert_one_sentence(str(stopped.value), str(tmp_path), "BUOYLINE_STATE=FOLDER")


def test_the_state_folder_is_made_where_it_is_asked_for(manage, tmp_path) -> None:
    wanted = tmp_path / "a place" / "state"
    assert manage.state_folder({"BUOYLINE_STATE": str(wanted)}) == wanted
    assert list(wanted.iterdir()) == []
    assert manage.state_folder({}) == BASE / ".buoyline"


@pytest.mark.parametrize("module", ["ensurepip", "venv"])
def test_without_venv_the_package_to_install_is_named(
    manage, monkeypatch, tmp_path, module
) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(SystemExit) as stopped:
        manage.make_environment(tmp_path / "venv")
    assert_one_sentence(str(stopped.value), "apt install python3-venv")
    assert not (tmp_path / "venv").exists()


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("Retrying (Retry(total=4)) after NewConnectionError: [Errno -3]", "internet"),
        ("Temporary failure in name resolution", "internet"),
        ("ERROR: Could not install: [Errno 28] No space left on device", "disk is full"),
        ("ERROR: No matching distribution found for django", "what pip says"),
    ],
)
def test_pips_failure_becomes_one_sentence(manage, monkeypatch, tmp_path, said, part) -> None:
    def pip(command, stdout, stderr):
        stdout.write(said.encode())
        return 1

    monkeypatch.setattr(manage.subprocess, "call", pip)
    sentence = manage.install(Path("python"), ["django"], tmp_path / "install.log")
    assert_one_sentence(sentence, part)


def test_pip_that_reaches_no_index_really_says_so(manage, monkeypatch, tmp_path) -> None:
    """The real pip, sent to a port where nothing listens, is understood."""
    for name in ("PIP_FIND_LINKS", "PIP_EXTRA_INDEX_URL", "PIP_CERT"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")
    monkeypatch.setenv("PIP_RETRIES", "1")
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    wanted = ["buoyline-names-no-package==0"]
    sentence = manage.install(Path(sys.executable), wanted, tmp_path / "install.log")
    assert_one_sentence(sentence, "does not answer", str(tmp_path / "install.log"))


class Builder:
    """Stands in for venv and pip, and notes what it was asked to do."""

    def __init__(self, manage, monkeypatch) -> None:
        self.manage, self.made, self.installed, self.answer = manage, 0, [], ""
        monkeypatch.setattr(manage, "make_environment", self.make)
        monkeypatch.setattr(manage, "install", self.install)

    def make(self, environment: Path) -> None:
        self.made += 1
        shutil.rmtree(environment, ignore_errors=True)
        python = self.manage.environment_python(environment)
        python.parent.mkdir(parents=True)
        python.touch()

    def install(self, python, packages, log):
        if isinstance(self.answer, BaseException):
            raise self.answer
        self.installed.append(packages)
        return self.answer


@pytest.fixture
def builder(manage, monkeypatch) -> Builder:
    return Builder(manage, monkeypatch)


def test_packages_are_installed_once(manage, builder, tmp_path) -> None:
    python = manage.ensure_environment(tmp_path, False)
    assert manage.ensure_environment(tmp_path, False) == python
    assert (builder.made, len(builder.installed)) == (1, 1)
    assert any(line.startswith("django>=") for line in builder.installed[0])
    assert not any(line.startswith("pytest>=") for line in builder.installed[0])


def test_packages_of_the_tests_are_added_to_the_same_place(manage, builder, tmp_path) -> None:
    manage.ensure_environment(tmp_path, False)
    manage.ensure_environment(tmp_path, True)
    manage.ensure_environment(tmp_path, False)
    assert (builder.made, len(builder.installed)) == (1, 2)
    assert any(line.startswith("pytest>=") for line in builder.installed[1])


def test_a_changed_list_is_installed_again(manage, builder, monkeypatch, tmp_path) -> None:
    manage.ensure_environment(tmp_path, False)
    monkeypatch.setattr(manage, "requirements", lambda with_dev: ["django>=5.2.20"])
    manage.ensure_environment(tmp_path, False)
    assert (builder.made, builder.installed[1]) == (1, ["django>=5.2.20"])


def test_an_interrupted_install_starts_from_an_empty_environment(
    manage, builder, tmp_path
) -> None:
    builder.answer = KeyboardInterrupt()
    with pytest.raises(KeyboardInterrupt):
        manage.ensure_environment(tmp_path, False)
    builder.answer = ""
    manage.ensure_environment(tmp_path, False)
    assert (builder.made, len(builder.installed)) == (2, 1)


def test_a_failed_addition_leaves_what_worked(manage, builder, tmp_path) -> None:
    """Asking for the tests without network does not cost the demo its environment."""
    manage.ensure_environment(tmp_path, False)
    builder.answer = "No network."
    with pytest.raises(SystemExit, match="No network"):
        manage.ensure_environment(tmp_path, True)
    manage.ensure_environment(tmp_path, False)
    assert (builder.made, len(builder.installed)) == (1, 2)


def test_the_current_python_is_told_what_it_lacks(manage, monkeypatch) -> None:
    monkeypatch.setattr(manage, "requirements", lambda with_dev: ["django>=5", "nosuch-it>=1"])
    with pytest.raises(SystemExit) as stopped:
        manage.check_current(False)
    assert_one_sentence(str(stopped.value), "lacks nosuch-it:", sys.executable)


def test_the_current_python_that_has_everything_is_taken(manage) -> None:
    assert manage.check_current(True) is None

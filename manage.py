#!/usr/bin/env python3
"""Run Buoyline: `python3 manage.py demo`, `python3 manage.py test`, or any Django command.

A fresh clone needs nothing but Python 3.11. The first call makes a virtual environment in
the local state folder (.buoyline, or the folder named by BUOYLINE_STATE), installs what
pyproject.toml lists, and goes on inside it. BUOYLINE_ENV=current uses the Python that runs
this file and installs nothing: for containers and packagers.

Whatever is missing is said in one sentence on stderr, with exit code 1. Python 3.6 can read
this file, so that an old Python gets its sentence and not a syntax error.
"""

import hashlib
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

BASE = Path(__file__).resolve().parent
OLDEST = (3, 11)
NO_NETWORK = re.compile(
    r"(?i)new connection|name resolution|resolve host|getaddrinfo|unreachable|max retries"
    r"|retrying \(|connection refused|timed? ?out|proxyerror|could not fetch url"
)


def stop(sentence):
    """End with one sentence on stderr and exit code 1."""
    raise SystemExit(sentence)


def check_version(version):
    """Stop unless `version` (major, minor, ...) is one that Buoyline runs on."""
    if tuple(version[:2]) < OLDEST:
        stop(
            "Buoyline needs Python 3.11 or newer and this is Python {}.{}: install a newer one "
            "(https://www.python.org/downloads/) and start manage.py with it.".format(*version)
        )


def state_folder(environ):
    """The folder of the local state, made if missing; stop if nothing can be written there."""
    folder = Path(environ.get("BUOYLINE_STATE") or BASE / ".buoyline").expanduser().absolute()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=str(folder)):
            pass
    except OSError as error:
        stop(
            f"Buoyline cannot write its local state to {folder} ({error.strerror}): make that "
            "folder writable, or name another with BUOYLINE_STATE=FOLDER."
        )
    return folder


def requirements(with_dev):
    """The packages that pyproject.toml asks for, with those of its tests if wanted."""
    import tomllib  # comes with Python 3.11, so not at the top of this file

    project = tomllib.loads((BASE / "pyproject.toml").read_text("utf-8"))["project"]
    extra = project["optional-dependencies"]["dev"] if with_dev else []
    return project["dependencies"] + extra


def fingerprint(with_dev):
    """A short text that changes with the list of packages and the version of Python."""
    parts = [*requirements(with_dev), "{}.{}".format(*sys.version_info)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def environment_python(environment):
    """The interpreter of a virtual environment, on POSIX and on Windows."""
    if os.name == "nt":
        return environment / "Scripts" / "python.exe"
    return environment / "bin" / "python"


def make_environment(environment):
    """Make an empty virtual environment with pip, in place of any that is there."""
    try:
        import ensurepip  # noqa: F401  (Debian splits it off; venv then fails half-way)
        import venv
    except ImportError:
        stop(
            "This Python cannot make virtual environments because venv or ensurepip is "
            "missing: run `apt install python3-venv` on Debian or Ubuntu, or install Python "
            "from https://www.python.org/downloads/, then start again."
        )
    try:
        venv.create(str(environment), clear=True, with_pip=True, symlinks=os.name != "nt")
    except (OSError, subprocess.CalledProcessError) as error:
        stop(
            f"The virtual environment {environment} could not be made ({error}): check that "
            "the disk has room and the folder is yours, then start again."
        )


def install(python, packages, log):
    """Install `packages` with pip; return "", or the sentence that says why it failed."""
    command = [str(python), "-m", "pip", "install", "--quiet", "--no-input"]
    command += ["--disable-pip-version-check", "--prefer-binary"]
    with log.open("wb") as output:
        code = subprocess.call(command + packages, stdout=output, stderr=subprocess.STDOUT)
    if code == 0:
        return ""
    said = log.read_text("utf-8", "replace")
    if "No space left" in said:
        return "The disk is full: make about 1 GB of room and start again."
    if NO_NETWORK.search(said):
        return (
            "The packages Buoyline needs could not be fetched because the package index does "
            "not answer: connect to the internet (or set pip's proxy or index) and start "
            f"again; pip's own words are in {log}."
        )
    return f"Installing the packages failed: put right what pip says in {log} and start again."


def ensure_environment(state, with_dev):
    """Bring the local environment up to date; return its interpreter.

    A stamp is written after a complete install and taken away during one: a call that finds
    none starts from an empty environment, which repairs whatever was interrupted.
    """
    environment = state / "venv"
    python = environment_python(environment)
    stamp = environment / "installed.txt"
    wanted = [fingerprint(False)] + ([fingerprint(True)] if with_dev else [])
    before = stamp.read_text("utf-8").split() if stamp.exists() and python.exists() else []
    if set(wanted) <= set(before):
        return python
    print(f"Installing packages into {environment}: about a minute, once.", file=sys.stderr)
    if not before and Path(sys.prefix).resolve() != environment.resolve():
        make_environment(environment)
    if stamp.exists():
        stamp.unlink()
    problem = install(python, requirements(with_dev), state / "install.log")
    # pip fetches everything first, so after a failure what worked before still does.
    stamp.write_text("\n".join(before if problem else wanted), "utf-8")
    return stop(problem) if problem else python


def check_current(with_dev):
    """Stop if the Python that runs this file lacks a package, with the names of all missing."""
    from importlib import metadata

    missing = []
    for name in (re.split(r"[^\w.-]", line)[0] for line in requirements(with_dev)):
        try:
            metadata.version(name)
        except metadata.PackageNotFoundError:
            missing.append(name)
    if missing:
        stop(
            "With BUOYLINE_ENV=current nothing is installed, and {} lacks {}: install that "
            "there, or run without BUOYLINE_ENV.".format(sys.executable, ", ".join(missing))
        )


def go_on_in(python, arguments):
    """Run this file again with another interpreter, and never come back."""
    command = [str(python), str(BASE / "manage.py"), *arguments]
    environ = dict(os.environ, BUOYLINE_ENV="made")
    if os.name == "nt":  # execve would give the prompt back while the server still runs
        raise SystemExit(subprocess.call(command, env=environ))
    os.execve(command[0], command, environ)


def main(arguments):
    """Prepare what is missing, then hand the command to pytest or to Django."""
    check_version(sys.version_info)
    testing = arguments[:1] == ["test"]
    state = state_folder(os.environ)
    os.environ["BUOYLINE_STATE"] = str(state)
    mode = os.environ.get("BUOYLINE_ENV", "")
    if mode == "current":
        check_current(testing)
    elif mode != "made":
        try:
            python = ensure_environment(state, testing)
        except KeyboardInterrupt:
            stop("Stopped before everything was installed: the same command starts it again.")
        go_on_in(python, arguments)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "events.project.settings")
    if testing:
        import pytest

        os.chdir(str(BASE))
        raise SystemExit(pytest.main(arguments[1:]))
    from importlib import import_module

    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        import_module(os.environ["DJANGO_SETTINGS_MODULE"])
    except ImproperlyConfigured as error:
        stop(str(error))
    execute_from_command_line(["manage.py", *arguments])


if __name__ == "__main__":
    main(sys.argv[1:])

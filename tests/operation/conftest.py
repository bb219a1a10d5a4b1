"""A production site of its own for tests that must start the real thing."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parents[2]
KEY = "of-this-test-only-0123456789-abcdefghijklmnopqrstuvwxyz"
Manage = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def production(tmp_path: Path) -> dict[str, str]:
    """The environment of a site on the internet, in a state folder of its own."""
    unset = {"DATABASE_URL", "DEBUG", "EMAIL_URL", "HTTPS", "HSTS_SECONDS", "LOG_FORMAT"}
    unset.add("DJANGO_ALLOW_ASYNC_UNSAFE")  # browser tests in the same run set it
    environ = {name: value for name, value in os.environ.items() if name not in unset}
    return environ | {
        "BUOYLINE_ENV": "current",
        "BUOYLINE_STATE": str(tmp_path / "state"),
        "PRODUCTION": "true",
        "SECRET_KEY": KEY,
        "ALLOWED_HOSTS": "runs.club.example",
        "TRUST_PROXY": "true",
    }


@pytest.fixture
def manage(production: dict[str, str]) -> Manage:
    """Run manage.py on that site; other variables can be given."""

    def run(*arguments: str, **environ: str) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(
            [sys.executable, str(BASE / "manage.py"), *arguments],
            env=production | environ,
            cwd=BASE,
            capture_output=True,
            text=True,
        )

    return run

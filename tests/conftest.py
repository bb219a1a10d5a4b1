"""What all tests share: where Hypothesis keeps its examples, and quick password hashes."""

import os

import pytest
from django.conf import settings
from hypothesis import settings as hypothesis_settings
from hypothesis.configuration import set_hypothesis_home_dir


def pytest_configure(config: pytest.Config) -> None:
    """Keep the folder clean and the run steady: fixed examples in CI, no time limits."""
    set_hypothesis_home_dir(settings.STATE_DIR / "hypothesis")
    hypothesis_settings.register_profile("local", deadline=None, max_examples=60)
    hypothesis_settings.register_profile(
        "ci", deadline=None, max_examples=60, derandomize=True, print_blob=True, database=None
    )
    hypothesis_settings.load_profile("ci" if os.environ.get("CI") else "local")
    # A hash that is slow on purpose would be most of the time the tests take.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

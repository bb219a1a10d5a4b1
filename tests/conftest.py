"""What all tests share: the moment they run at, where Hypothesis keeps its examples, and quick
password hashes."""

import os
from collections.abc import Iterator
from datetime import datetime

import pytest
import time_machine
from django.conf import settings
from django.db import connections
from django.utils import translation
from hypothesis import settings as hypothesis_settings
from hypothesis.configuration import set_hypothesis_home_dir

from events.project.catalogues.files import compile_into, languages


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let everything be tested at an awkward moment, such as the last hour of a year."""
    parser.addoption(
        "--at",
        type=datetime.fromisoformat,
        metavar="MOMENT",
        help="run as if it were then, such as 2026-12-31T23:30+00:00; browsers keep the real time",
    )


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
    if moment := config.getoption("--at"):
        # Before any test is imported: some take the day when they are.
        time_machine.travel(moment, tick=True).start()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Keep the test database in a file: requests of a live server come at the same time, and
    an SQLite database in memory refuses the second writer instead of letting it wait."""
    database = connections["default"].settings_dict
    if database["ENGINE"].endswith("sqlite3"):
        database["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")


@pytest.fixture(scope="session", autouse=True)
def _languages_of_the_site() -> None:
    """The translations as the folders have them now, where the site looks for them."""
    for language in languages(settings.BASE_DIR):
        compile_into(settings.BASE_DIR, settings.STATE_DIR, language)


@pytest.fixture(autouse=True)
def _language_of_the_site() -> Iterator[None]:
    """A request in German leaves its language to whatever comes next in the same thread."""
    yield
    translation.deactivate()

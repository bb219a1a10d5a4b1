"""Whether the site can work: for monitors and containers, at /health/."""

import logging
import tempfile
from collections.abc import Callable

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

log = logging.getLogger("events.health")


def database_answers() -> None:
    """Raises what the database raises."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()


def pending_migrations() -> list[str]:
    """The names of the migrations that the database does not have yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def migrations_applied() -> None:
    """Raises RuntimeError if the database is older than the code."""
    pending = pending_migrations()
    if pending:
        raise RuntimeError(f"Pending migrations: {', '.join(pending)}")


def storage_writable() -> None:
    """Raises OSError if nothing can be written to the state folder."""
    with tempfile.TemporaryFile(dir=settings.STATE_DIR) as file:
        file.write(b"works")


CHECKS: dict[str, Callable[[], None]] = {
    "database": database_answers,
    "migrations": migrations_applied,
    "storage": storage_writable,
}


def _works(name: str, check: Callable[[], None]) -> bool:
    try:
        check()
    except Exception as error:  # whatever is wrong is unhealthy; the log says what
        log.error("Not healthy, %s: %s", name, error)
        return False
    return True


@never_cache
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """200 if everything works, else 503; says what fails, and not why."""
    works = {name: _works(name, check) for name, check in CHECKS.items()}
    healthy = all(works.values())
    said = {"healthy": healthy, **{name: "ok" if ok else "fails" for name, ok in works.items()}}
    return JsonResponse(said, status=200 if healthy else 503)

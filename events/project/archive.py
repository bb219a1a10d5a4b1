"""The tables of the site as portable text, as backups hold them.

Tables are read and written by the models as they were after the migrations that the database
has, so that a backup of an earlier version can be read by a later one, and a backup of one
kind of database can be restored on another.
"""

import copy
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps.registry import Apps
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Field, JSONField, Model, Value
from django.db.utils import load_backend

FORMAT = 1
MANIFEST = "manifest.json"
MEDIA = "media/"
# Sessions would let whoever finds a backup in, and counts of tries mean nothing later.
NOT_KEPT = {"sessions.session", "events.tally"}
Node = tuple[str, str]


class BackupError(Exception):
    """Why a backup cannot be made or restored, as a sentence for the person who asked."""


def applied() -> list[Node]:
    """The migrations that the database has, as (app, name) in order."""
    executor = MigrationExecutor(connection)
    return sorted(set(executor.loader.applied_migrations) & set(executor.loader.graph.nodes))


def ends(executor: MigrationExecutor, nodes: set[Node]) -> list[Node]:
    """Those of the migrations that no other of them builds on."""
    graph = executor.loader.graph
    return sorted(
        node
        for node in nodes
        if not any(child.key in nodes for child in graph.node_map[node].children)
    )


def apps_after(nodes: set[Node]) -> Apps:
    """The models as they are once `nodes` and nothing else has been migrated."""
    executor = MigrationExecutor(connection)
    state = executor.loader.project_state(ends(executor, nodes)).apps
    for model in state.get_models(include_auto_created=True):
        for field in model._meta.concrete_fields:
            # These models only carry data: a restored row keeps the times it came with.
            if getattr(field, "auto_now", False) or getattr(field, "auto_now_add", False):
                field.auto_now = field.auto_now_add = False  # type: ignore[attr-defined]
    return state


def kept_models(state: Apps) -> list[type[Model]]:
    """The models whose tables belong into a backup, by name."""
    models = [
        model
        for model in state.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model._meta.label_lower not in NOT_KEPT
    ]
    return sorted(models, key=lambda model: model._meta.label_lower)


def columns(model: type[Model]) -> "list[Field[Any, Any]]":
    """The fields of a model that are kept; what the database works out itself is not."""
    return [field for field in model._meta.concrete_fields if not field.generated]


def as_text(field: "Field[Any, Any]", row: Model) -> Any:
    """A value as JSON holds it, without loss."""
    value = field.value_from_object(row)
    if value is None or isinstance(value, bool | int | float | str):
        return value
    return value if isinstance(field, JSONField) else field.value_to_string(row)


def from_text(field: "Field[Any, Any]", value: Any) -> Any:
    """A value as the model holds it."""
    if isinstance(field, JSONField):
        return Value(None, JSONField()) if value is None and not field.null else value
    return None if value is None else field.to_python(value)


def rows_as_lines(model: type[Model]) -> Iterator[str]:
    """The rows of a table, one JSON list a line, in the order of their keys."""
    fields = columns(model)
    for row in model._base_manager.order_by("pk").iterator(chunk_size=2000):
        yield json.dumps([as_text(field, row) for field in fields], ensure_ascii=False)


@contextmanager
def standing_in(**changed: Any) -> Iterator[BaseDatabaseWrapper]:
    """Another database, or another connection, in the place of `default` for this thread.

    Migrations, ours and those of packages, may speak to `default` whatever they are told, so
    a database is built under that name. Gives the connection that was there before.
    """
    before = connections["default"]
    asked = {**copy.deepcopy(before.settings_dict), **changed, "CONN_MAX_AGE": 0}
    other = load_backend(asked["ENGINE"]).DatabaseWrapper(asked, "default")
    connections["default"] = other
    try:
        yield before
    finally:
        connections["default"] = before
        other.close()

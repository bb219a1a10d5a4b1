"""Everything that the site holds of one person, as plain data to take away.

The tables are found by following what points to the person, so that a table that is added
later is not forgotten. Other people's names, passwords and secret links are left out.
"""

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import models
from django.utils import translation

from events.models import Act, Club, Division, Edition, Event, LinkStamp
from riders.models import Rider

# A reference to one of these is told by name; to anything else by its number.
NAMED: tuple[type[models.Model], ...] = (Club, Division, Edition, Event, Rider)
LEFT_OUT = {"password", "token_hash", "dedupe", "personal"}
SKIPPED: set[type[models.Model]] = {LinkStamp}

Row = dict[str, Any]


@translation.override("en")  # titles and names of columns are those of a file
def own_data(user: User) -> dict[str, list[Row]]:
    """Table by table what belongs to the person, in words and numbers that JSON can hold."""
    told = {_title(User): [_row(user)]}
    for model, rows in _tables(user):
        told.setdefault(_title(model), []).extend(_row(each) for each in rows)
    acts = Act.objects.filter(user=user).select_related("club", "event")
    told["what you did as an official"] = [_row(each) for each in acts]
    return told


def _tables(user: User) -> Iterator[tuple[type[models.Model], list[models.Model]]]:
    """Each table that points to the person, to what is theirs, and so on."""
    seen: set[tuple[type[models.Model], str]] = set()
    queue: list[tuple[type[models.Model], list[Any]]] = [(User, [user.pk])]
    while queue:
        model, keys = queue.pop(0)
        for relation in model._meta.related_objects:
            found = relation.related_model
            place = (found, relation.field.name)
            if relation.many_to_many or found in SKIPPED or place in seen:
                continue
            seen.add(place)
            rows = _rows(found, relation.field.name, keys)
            if rows:
                yield found, rows
                queue.append((found, [each.pk for each in rows]))


def _rows(model: type[models.Model], field: str, keys: list[Any]) -> list[models.Model]:
    named = [each.name for each in _references(model) if each.related_model in NAMED]
    if "division" in named:
        named.append("division__event")
    found = model._default_manager.filter(**{f"{field}__in": keys}).order_by("pk")
    return list(found.select_related(*named) if named else found)


def _references(model: type[models.Model]) -> list[Any]:
    return [each for each in model._meta.concrete_fields if each.is_relation]


def _row(each: models.Model) -> Row:
    row: Row = {}
    for field in each._meta.concrete_fields:
        if field.name in LEFT_OUT:
            continue
        if not field.is_relation:
            row[field.name] = _plain(getattr(each, field.name))
        elif field.related_model in NAMED:
            row[field.name] = _name(getattr(each, field.name))
        elif field.related_model is not User:  # another person, or the person again
            row[field.name] = getattr(each, field.attname)
    if "text" in row and hasattr(each, "text_without_key"):
        row["text"] = each.text_without_key
    return row


def _name(each: models.Model | None) -> str | None:
    if isinstance(each, Division):
        return f"{each.event}: {each}"
    return None if each is None else str(each)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date):
        return value.isoformat()
    if value is None or isinstance(value, str | int | float | bool | list | dict):
        return value
    return str(value)


def _title(model: type[models.Model]) -> str:
    return str(model._meta.verbose_name_plural)

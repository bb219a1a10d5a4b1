"""How events are logged: on the console, each line with the reference of its request."""

import logging
import re
from typing import Any

# Whoever knows one of these addresses is let in, so the log names only where it begins.
SECRET_ADDRESS = re.compile(r"/(key|shared)/[^\s\"'?]+")
LINE = "{asctime} {levelname} {name} {reference}: {message}"
JSON_FIELDS = "%(asctime)s %(levelname)s %(name)s %(reference)s %(message)s"


class SecretAddressFilter(logging.Filter):
    """Cuts addresses that let somebody in out of every line, such as those in letters."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Keep the line; change what it says."""
        said = record.getMessage()
        told = SECRET_ADDRESS.sub(r"/\1/(hidden)", said)
        if told != said:
            record.msg, record.args = told, ()
        return True


def log_settings(*, level: str, shape: str) -> dict[str, Any]:
    """The LOGGING setting, with lines for people (`line`) or for machines (`json`)."""
    formatters: dict[str, dict[str, Any]] = {
        "line": {"format": LINE, "style": "{"},
        "json": {
            "()": "pythonjsonlogger.json.JsonFormatter",
            "fmt": JSON_FIELDS,
            "rename_fields": {"asctime": "time", "levelname": "level", "name": "logger"},
        },
    }
    if level not in logging.getLevelNamesMapping():
        raise ValueError(f"LOG_LEVEL is {level!r}: set it to INFO, WARNING or ERROR.")
    if shape not in formatters:
        raise ValueError(f"LOG_FORMAT is {shape!r}: set it to line or json.")
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {
            "reference": {"()": "events.project.references.ReferenceFilter"},
            "secrets": {"()": "events.project.logs.SecretAddressFilter"},
        },
        "formatters": formatters,
        "handlers": {
            "console": {
                "class": "logging.StreamHandler",
                "formatter": shape,
                "filters": ["reference", "secrets"],
            }
        },
        "root": {"handlers": ["console"], "level": "WARNING"},
        "loggers": {
            name: {"handlers": ["console"], "level": level, "propagate": False}
            for name in ("django", "events", "riders", "runsheets")
        }
        # Robots ask for other host names all day; they get 400, and the log stays readable.
        | {"django.security.DisallowedHost": {"handlers": [], "propagate": False}},
    }

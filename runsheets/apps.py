"""The Django application `runsheets`."""

from django.apps import AppConfig


class RunsheetsConfig(AppConfig):
    """Registers the models, template tags and commands of `runsheets`."""

    name = "runsheets"

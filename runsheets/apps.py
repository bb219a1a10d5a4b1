"""The Django application `runsheets`."""

from django.apps import AppConfig


class RunsheetsConfig(AppConfig):
    """Registers the models, template tags and commands of `runsheets`."""

    name = "runsheets"

    def ready(self) -> None:
        """Have the demo's accounts looked for in production."""
        from runsheets.demo import checks  # noqa: F401  (registers itself)

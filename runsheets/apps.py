"""The Django application `runsheets`."""

from django.apps import AppConfig


class RunsheetsConfig(AppConfig):
    """Registers the models, template tags and commands of `runsheets`."""

    name = "runsheets"

    def ready(self) -> None:
        """Look for the demo's accounts in production, and listen to what happens to riders."""
        from runsheets import listening  # noqa: F401
        from runsheets.demo import checks  # noqa: F401  (registers itself)

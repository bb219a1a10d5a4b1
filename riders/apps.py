"""The Django application `riders`."""

from django.apps import AppConfig


class RidersConfig(AppConfig):
    """Registers the models, template tags and commands of `riders`."""

    name = "riders"

    def ready(self) -> None:
        """Listen to what happens in `events`."""
        from riders import listening  # noqa: F401

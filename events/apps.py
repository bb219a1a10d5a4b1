"""The Django application `events`."""

from django.apps import AppConfig
from django.utils import translation

from events.rules.language import speak


class EventsConfig(AppConfig):
    """Registers the models, template tags and commands of `events`."""

    name = "events"

    def ready(self) -> None:
        """Have the engine speak the language of whoever asks."""
        speak(translation)

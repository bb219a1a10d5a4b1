"""The Django application `events`."""

from django.apps import AppConfig


class EventsConfig(AppConfig):
    """Registers the models, template tags and commands of `events`."""

    name = "events"

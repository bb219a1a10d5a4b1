"""The Django application `riders`."""

from django.apps import AppConfig


class RidersConfig(AppConfig):
    """Registers the models, template tags and commands of `riders`."""

    name = "riders"

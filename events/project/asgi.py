"""The entry point for a ASGI server: `events.project.asgi:application`."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "events.project.settings")

application = get_asgi_application()

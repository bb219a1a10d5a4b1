"""The entry point for a WSGI server: `events.project.wsgi:application`."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "events.project.settings")

application = get_wsgi_application()

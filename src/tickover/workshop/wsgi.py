"""The WSGI entry point of the workshop."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tickover.workshop.settings")
application = get_wsgi_application()

"""The WSGI entry point of the workshop."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.db import connection

from tickover.workshop.kernel.folder_lock import in_use_until_exit
from tickover.workshop.serving.owner_only import put_right, write_for_owner_only

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tickover.workshop.settings")
write_for_owner_only()
put_right(settings.DATA)
in_use_until_exit(settings.DATA)  # so that nobody restores a backup under a running server
application = get_wsgi_application()

from tickover.workshop.audit.database_state import refuse_unusable  # noqa: E402  (models are ready only now)

refuse_unusable()
connection.close()  # a server that forks now must not share it

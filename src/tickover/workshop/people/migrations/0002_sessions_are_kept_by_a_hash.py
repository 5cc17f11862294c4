"""Sessions are kept under a hash of their key from here on: those kept under the key itself end."""

from __future__ import annotations

from typing import Any

from django.db import migrations


def end_sessions(apps: Any, _schema: Any) -> None:
    apps.get_model("sessions", "Session").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("people", "0001_first"), ("sessions", "0001_initial")]
    operations = [migrations.RunPython(end_sessions, migrations.RunPython.noop)]

"""The app `kernel`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class KernelConfig(AppConfig):
    name = "tickover.workshop.kernel"
    label = "journal"

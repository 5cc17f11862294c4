"""The app `run_ups`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class RunUpsConfig(AppConfig):
    name = "tickover.workshop.run_ups"
    label = "runs"

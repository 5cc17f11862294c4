"""The app `fault_finding`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class FaultFindingConfig(AppConfig):
    name = "tickover.workshop.fault_finding"
    label = "trouble"

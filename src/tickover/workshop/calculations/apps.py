"""The app `calculations`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class CalculationsConfig(AppConfig):
    name = "tickover.workshop.calculations"
    label = "sums"

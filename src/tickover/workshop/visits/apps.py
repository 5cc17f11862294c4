"""The app `visits`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class VisitsConfig(AppConfig):
    name = "tickover.workshop.visits"
    label = "bench"

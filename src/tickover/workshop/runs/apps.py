"""The runs app."""

from django.apps import AppConfig


class RunsConfig(AppConfig):
    name = "tickover.workshop.runs"
    label = "runs"

"""The trouble app."""

from django.apps import AppConfig


class TroubleConfig(AppConfig):
    name = "tickover.workshop.trouble"
    label = "trouble"

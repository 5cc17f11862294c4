"""The defects app."""

from django.apps import AppConfig


class DefectsConfig(AppConfig):
    name = "tickover.workshop.defects"
    label = "defects"

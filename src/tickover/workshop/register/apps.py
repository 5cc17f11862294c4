"""The register app."""

from django.apps import AppConfig


class RegisterConfig(AppConfig):
    name = "tickover.workshop.register"
    label = "register"

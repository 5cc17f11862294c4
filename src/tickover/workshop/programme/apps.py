"""The programme app."""

from django.apps import AppConfig


class ProgrammeConfig(AppConfig):
    name = "tickover.workshop.programme"
    label = "programme"

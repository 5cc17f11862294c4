"""The journal app."""

from django.apps import AppConfig


class JournalConfig(AppConfig):
    name = "tickover.workshop.journal"
    label = "journal"

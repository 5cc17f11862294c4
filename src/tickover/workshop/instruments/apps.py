"""The instruments app."""

from django.apps import AppConfig


class InstrumentsConfig(AppConfig):
    name = "tickover.workshop.instruments"
    label = "instruments"

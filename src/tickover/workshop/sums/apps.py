"""The sums app."""

from django.apps import AppConfig


class SumsConfig(AppConfig):
    name = "tickover.workshop.sums"
    label = "sums"

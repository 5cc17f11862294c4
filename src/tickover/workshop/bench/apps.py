"""The bench app."""

from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "tickover.workshop.bench"
    label = "bench"

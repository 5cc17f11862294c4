"""The takeover app."""

from django.apps import AppConfig


class TakeoverConfig(AppConfig):
    name = "tickover.workshop.takeover"
    label = "takeover"

"""The pages of the workshop."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "tickover.workshop.web"
    label = "web"

"""The people app."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "tickover.workshop.people"
    label = "people"

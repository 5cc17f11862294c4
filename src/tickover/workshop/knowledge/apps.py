"""The knowledge app."""

from django.apps import AppConfig


class KnowledgeConfig(AppConfig):
    name = "tickover.workshop.knowledge"
    label = "knowledge"

"""The photos app."""

from django.apps import AppConfig


class PhotosConfig(AppConfig):
    name = "tickover.workshop.photos"
    label = "photos"

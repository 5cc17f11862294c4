"""Addresses of the journal."""

from django.urls import path

from tickover.workshop.web.journal import views

app_name = "journal"
urlpatterns = [
    path("journal/", views.journal, name="journal"),
    path("journal/<int:sequence>/", views.entry, name="entry"),
]

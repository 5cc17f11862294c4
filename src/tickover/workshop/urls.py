"""Addresses of the workshop's pages; each app names its own."""

from django.urls import include, path

handler500 = "tickover.workshop.outages.server_error"
urlpatterns = [
    path("", include("tickover.workshop.programme.urls")),
    path("", include("tickover.workshop.people.urls")),
    path("", include("tickover.workshop.register.urls")),
    path("", include("tickover.workshop.bench.urls")),
    path("", include("tickover.workshop.photos.urls")),
    path("", include("tickover.workshop.defects.urls")),
    path("", include("tickover.workshop.instruments.urls")),
    path("", include("tickover.workshop.trouble.urls")),
    path("", include("tickover.workshop.runs.urls")),
    path("", include("tickover.workshop.sums.urls")),
    path("", include("tickover.workshop.knowledge.urls")),
    path("", include("tickover.workshop.journal.urls")),
]

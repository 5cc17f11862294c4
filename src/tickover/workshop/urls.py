"""Addresses of the workshop's pages; each app names its own."""

from django.urls import include, path, re_path

from tickover.workshop.web.moved import moved

handler500 = "tickover.workshop.serving.outages.server_error"
urlpatterns = [
    re_path(r"^(?P<old>sums|trouble|jobs)/(?P<rest>.*)$", moved),
    path("", include("tickover.workshop.web.takeover.urls")),
    path("", include("tickover.workshop.web.programme.urls")),
    path("", include("tickover.workshop.web.people.urls")),
    path("", include("tickover.workshop.web.engines.urls")),
    path("", include("tickover.workshop.web.visits.urls")),
    path("", include("tickover.workshop.web.photos.urls")),
    path("", include("tickover.workshop.web.defects.urls")),
    path("", include("tickover.workshop.web.instruments.urls")),
    path("", include("tickover.workshop.web.fault_finding.urls")),
    path("", include("tickover.workshop.web.run_ups.urls")),
    path("", include("tickover.workshop.web.calculations.urls")),
    path("", include("tickover.workshop.web.type_sheets.urls")),
    path("", include("tickover.workshop.web.journal.urls")),
]

"""Addresses of a takeover."""

from django.urls import path

from tickover.workshop.web.takeover import last_done_views, many_views, page_photos, views

app_name = "takeover"
urlpatterns = [
    path("add-engine/", views.add_engine, name="add-engine"),
    path("add-engine/from-a-table/", many_views.many_engines, name="many-engines"),
    path("engines/<str:serial>/last-done/", last_done_views.last_done, name="last-done"),
    path("engines/<str:serial>/last-done/pages/", page_photos.add_pages, name="add-pages"),
]

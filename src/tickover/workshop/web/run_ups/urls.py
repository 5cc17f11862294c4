"""Addresses of run-ups and of the tuning card."""

from django.urls import path

from tickover.workshop.web.run_ups import tuning_views, upload_views, views

app_name = "run_ups"
urlpatterns = [
    path("runs/", views.runs, name="runs"),
    path("runs/how-to/", views.how_to, name="how-to"),
    path("engines/<str:serial>/runs/", views.engine_runs, name="engine-runs"),
    path("engines/<str:serial>/runs/baseline/", views.baseline, name="baseline"),
    path("engines/<str:serial>/runs/new/", upload_views.new, name="new"),
    path("engines/<str:serial>/runs/columns/", upload_views.columns, name="columns"),
    path("engines/<str:serial>/runs/overlay/", views.overlay, name="overlay"),
    path("engines/<str:serial>/runs/<int:sequence>/", views.run, name="run"),
    path("engines/<str:serial>/runs/<int:sequence>/paper/", views.on_paper, name="paper"),
    path("engines/<str:serial>/runs/<int:sequence>/strip.svg", views.strip_svg, name="strip"),
    path("engines/<str:serial>/runs/<int:sequence>/trace.csv", views.trace_csv, name="trace-csv"),
    path("engines/<str:serial>/runs/<int:sequence>/trace.json", views.trace_json, name="trace-json"),
    path("engines/<str:serial>/runs/<int:sequence>/sound/", views.sound, name="sound"),
    path("engines/<str:serial>/runs/<int:sequence>/accept/", views.accept, name="accept"),
    path("engines/<str:serial>/tuning/", tuning_views.card, name="tuning"),
    path("engines/<str:serial>/tuning/needles/", tuning_views.needles, name="needles"),
]

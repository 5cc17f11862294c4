"""Addresses of the register."""

from django.urls import path

from tickover.workshop.register import views

app_name = "register"
urlpatterns = [
    path("engines/<str:serial>/", views.engine, name="engine"),
    path("engines/<str:serial>/track-log/", views.add_track_log, name="add-track-log"),
    path("engines/<str:serial>/time/<int:sequence>/", views.entry, name="entry"),
    path("engines/<str:serial>/time/<int:sequence>/withdraw/", views.withdraw, name="withdraw"),
    path("track-log-to-try/", views.track_log_to_try, name="track-log-to-try"),
    path("evidence/<str:sha256>/", views.evidence, name="evidence"),
]

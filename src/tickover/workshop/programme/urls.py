"""Addresses of the programme."""

from django.urls import path

from tickover.workshop.programme import views

app_name = "programme"
urlpatterns = [
    path("", views.today, name="today"),
    path("engines/", views.engines, name="engines"),
    path("engines/<str:serial>/tasks/<str:task_id>/", views.task, name="task"),
]

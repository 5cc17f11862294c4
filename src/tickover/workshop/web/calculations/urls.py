"""Addresses of the sums."""

from django.urls import path

from tickover.workshop.web.calculations import views

app_name = "calculations"
urlpatterns = [
    path("sums/", views.sums, name="sums"),
    path("sums/<str:sum_id>.json", views.one_sum_json, name="sum-json"),
    path("sums/<str:sum_id>/", views.one_sum, name="sum"),
]

"""Addresses of the sums."""

from django.urls import path

from tickover.workshop.sums import views

app_name = "sums"
urlpatterns = [
    path("sums/", views.sums, name="sums"),
    path("sums/<str:sum_id>.json", views.one_sum_json, name="sum-json"),
    path("sums/<str:sum_id>/", views.one_sum, name="sum"),
]

"""Addresses of the calculations."""

from django.urls import path

from tickover.workshop.web.calculations import views

app_name = "calculations"
urlpatterns = [
    path("calculations/", views.sums, name="sums"),
    path("calculations/<str:sum_id>.json", views.one_sum_json, name="sum-json"),
    path("calculations/<str:sum_id>/", views.one_sum, name="sum"),
]

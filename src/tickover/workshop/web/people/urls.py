"""Addresses of the people app."""

from django.urls import path

from tickover.workshop.web.people import views

app_name = "people"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-in/<str:token>/", views.sign_in_by_link, name="sign-in-by-link"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("change-person/", views.change_person, name="change-person"),
]

"""Addresses of the instrument register."""

from django.urls import path

from tickover.workshop.web.instruments import views

app_name = "instruments"
urlpatterns = [
    path("instruments/", views.instruments, name="instruments"),
    path("instruments.csv", views.instruments_csv, name="instruments-csv"),
    path("instruments/new/", views.add, name="add"),
    path("instruments/<str:number>/", views.instrument, name="instrument"),
    path("instruments/<str:number>/calibration/", views.calibrate, name="calibrate"),
    path("instruments/<str:number>/withdraw/", views.withdraw, name="withdraw"),
    path("instruments/<str:number>/take-back/", views.take_back, name="take-back"),
    path("instruments/<str:number>/move/", views.move, name="move"),
]

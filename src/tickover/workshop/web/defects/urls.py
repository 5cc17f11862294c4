"""Addresses of deferred defects."""

from django.urls import path

from tickover.workshop.web.defects import views

app_name = "defects"
urlpatterns = [
    path("defects/", views.defects, name="defects"),
    path("defects/<str:number>/", views.defect, name="defect"),
    path("defects/<str:number>/rectify/", views.rectify, name="rectify"),
    path("defects/<str:number>/extend/", views.extend, name="extend"),
    path("defects/<str:number>/withdraw/", views.withdraw, name="withdraw"),
    path("engines/<str:serial>/defects/new/", views.defer, name="defer"),
]

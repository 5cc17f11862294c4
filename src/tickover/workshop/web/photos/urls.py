"""Addresses of photos."""

from django.urls import path

from tickover.workshop.web.photos import views

app_name = "photos"
urlpatterns = [
    path("photos/add/", views.add, name="add"),
    path("photos/<int:number>/", views.photo, name="photo"),
    path("photos/<int:number>/photo.jpg", views.image, name="image"),
    path("photos/<int:number>/small.jpg", views.thumbnail, name="thumbnail"),
    path("photos/<int:number>/withdraw/", views.withdraw, name="withdraw"),
]

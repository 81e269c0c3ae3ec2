"""Addresses of the machines app."""

from django.urls import path

from ullage.web.machines import views

app_name = "machines"

urlpatterns = [
    path("machines/", views.listed, name="list"),
    path("machines/add/", views.add, name="add"),
    path("machines/<uuid:code>/", views.one, name="machine"),
    path("machines/<uuid:code>/edit/", views.edit, name="edit"),
    path("machines/<uuid:code>/out/", views.out, name="out"),
    path("machines/<uuid:code>/back/", views.back, name="back"),
    path("machines/<uuid:code>/chain/<uuid:source>/", views.chain, name="chain"),
    path("machines/<uuid:code>/chain/<uuid:source>/<slug:part>/", views.look, name="look"),
]

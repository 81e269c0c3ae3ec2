"""Addresses of the sites app."""

from django.urls import path

from ullage.web.sites import views

app_name = "sites"

urlpatterns = [
    path("more/", views.more, name="more"),
    path("site/choose/", views.choose, name="choose"),
]

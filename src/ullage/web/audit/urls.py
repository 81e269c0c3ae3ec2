"""Addresses of the audit app."""

from django.urls import path

from ullage.web.audit import views

app_name = "audit"

urlpatterns = [
    path("", views.listed, name="list"),
    path("csv/", views.as_csv, name="csv"),
    path("verify/", views.verify, name="verify"),
]

"""Addresses at the root, because a service worker serves what lies under its own address."""

from django.urls import path

from ullage.web.cases.views import pad

app_name = "pad"

urlpatterns = [
    path("sw.js", pad.worker, name="worker"),
    path("away/", pad.away, name="away"),
]

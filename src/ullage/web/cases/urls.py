"""Addresses of the cases app."""

from django.urls import URLPattern, path

from ullage.web.cases.urls_life import LIFE
from ullage.web.cases.views import pad

__all__ = ["app_name", "urlpatterns"]

app_name = "cases"

urlpatterns: list[URLPattern] = [
    *LIFE,
    # the pad alone, for a device that is locked
    path("<uuid:code>/pad/", pad.pad, name="pad"),
]

"""Addresses of the cases app."""

from django.urls import URLPattern

from ullage.web.cases.urls_life import LIFE

__all__ = ["app_name", "urlpatterns"]

app_name = "cases"

urlpatterns: list[URLPattern] = [*LIFE]

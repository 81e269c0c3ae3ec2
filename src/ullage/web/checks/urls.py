"""Addresses of the checks app."""

from django.urls import URLPattern

app_name = "checks"

urlpatterns: list[URLPattern] = []

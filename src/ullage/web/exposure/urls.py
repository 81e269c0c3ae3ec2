"""Addresses of the exposure app."""

from django.urls import URLPattern

app_name = "exposure"

urlpatterns: list[URLPattern] = []

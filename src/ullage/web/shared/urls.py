"""Addresses of the shared app."""

from django.urls import URLPattern

app_name = "shared"

urlpatterns: list[URLPattern] = []

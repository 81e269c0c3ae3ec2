"""Addresses of the service app."""

from django.urls import URLPattern

app_name = "service"

urlpatterns: list[URLPattern] = []

"""Addresses of the days app."""

from django.urls import URLPattern

app_name = "days"

urlpatterns: list[URLPattern] = []

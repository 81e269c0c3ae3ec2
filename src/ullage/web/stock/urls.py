"""Addresses of the stock app."""

from django.urls import URLPattern

app_name = "stock"

urlpatterns: list[URLPattern] = []

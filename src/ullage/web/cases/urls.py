"""Addresses of the cases app."""

__all__ = ["urlpatterns"]

urlpatterns: list[object] = []

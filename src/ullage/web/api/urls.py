"""Where the interface for programs is; loaded with the addresses, so by the server alone."""

from ullage.web.api.interface import api

__all__ = ["urlpatterns"]

urlpatterns, app_name, namespace = api.urls

"""Where the interface for programs is; loaded with the addresses, so by the server alone."""

from ullage.web.api.interface import api

__all__ = ["app_name", "urlpatterns"]

app_name = "api"
urlpatterns = list(api.urls[0])

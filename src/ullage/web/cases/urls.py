"""Addresses of the cases app."""

from django.urls import URLPattern, path

from ullage.web.cases.urls_life import LIFE
from ullage.web.cases.urls_running import RUNNING
from ullage.web.cases.views import pad, tablets

__all__ = ["app_name", "urlpatterns"]

app_name = "cases"

urlpatterns: list[URLPattern] = [
    *LIFE,
    *RUNNING,
    path("tablets/", tablets.tablets, name="tablets"),
    path("tablets/<uuid:code>/", tablets.tablet, name="tablet"),
    path("tablets/<uuid:code>/revoke/", tablets.tablet_out, name="tablet_out"),
    # the pad alone, for a device that is locked
    path("<uuid:code>/pad/", pad.pad, name="pad"),
]

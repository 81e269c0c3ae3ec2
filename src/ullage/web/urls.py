"""Every address of the site, by app."""

from django.urls import include, path

urlpatterns = [
    path("accounts/", include("ullage.web.accounts.door")),
    path("", include("ullage.web.accounts.urls")),
    path("", include("ullage.web.sites.urls")),
    path("", include("ullage.web.machines.urls")),
    path("", include("ullage.web.supply.urls")),
    path("", include("ullage.web.days.urls")),
    path("", include("ullage.web.catalogue.urls")),
    path("", include("ullage.web.shared.urls")),
]

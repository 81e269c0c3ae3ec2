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
    path("checks/", include("ullage.web.checks.urls")),
    path("service/", include("ullage.web.service.urls")),
    path("stock/", include("ullage.web.stock.urls")),
    path("exposure/", include("ullage.web.exposure.urls")),
    path("cases/", include("ullage.web.cases.urls")),
    path("", include("ullage.web.cases.device_urls")),
    path("records/", include("ullage.web.records.urls")),
    path("api/", include("ullage.web.api.urls")),
    path("backups/", include("ullage.web.upkeep.urls")),
    path("audit/", include("ullage.web.audit.urls")),
    path("", include("ullage.web.shared.urls")),
]

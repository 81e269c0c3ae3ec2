"""Addresses of the upkeep."""

from django.urls import path

from ullage.web.upkeep import views

app_name = "upkeep"

urlpatterns = [
    path("", views.backups, name="backups"),
    path("rule/", views.rule, name="rule"),
    path("now/", views.backup_now, name="backup"),
    path("drill/", views.drill_now, name="drill"),
]

"""How Django finds this app, and what makes the answers of a day old."""

from typing import Any

from django.apps import AppConfig

__all__ = ["DaysConfig"]


class DaysConfig(AppConfig):
    """The days app."""

    name = "ullage.web.days"
    label = "days"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """A reading, a change of machine or of settings makes the answers of today old."""
        from django.db.models.signals import post_save

        from ullage.web.supply.services import supply_changed

        supply_changed.connect(_supply_changed)
        post_save.connect(_settings_changed, sender="sites.SiteChange")
        post_save.connect(_room_changed, sender="sites.Room")
        post_save.connect(_machine_changed, sender="machines.MachineChange")


def _supply_changed(site_pk: int, **_: Any) -> None:
    from ullage.web.days.services import today_ask
    from ullage.web.sites.selectors import Site

    today_ask(site=Site.objects.get(pk=site_pk))


def _settings_changed(instance: Any, **_: Any) -> None:
    from ullage.web.supply.services import site_ask

    site_ask(site=instance.site)


def _room_changed(instance: Any, *, created: bool, **_: Any) -> None:
    if not created:
        _settings_changed(instance)


def _machine_changed(instance: Any, **_: Any) -> None:
    from ullage.web.days.services import today_ask

    today_ask(site=instance.machine.site)

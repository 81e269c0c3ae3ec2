"""When something happened, as people type it beside the table: a time on the clock, or now."""

from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone

from ullage.web.sites.selectors import Site

__all__ = ["ClockField", "moment_of"]

#: A clock may run ahead by so much.
_AHEAD = timedelta(minutes=2)
_DAY = timedelta(days=1)


class ClockField(forms.TimeField):
    """A time of today or of the last hours of yesterday; left empty it means now."""

    optional_word = "empty: now"

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget",
            forms.TimeInput(attrs={"type": "time", "autocomplete": "off"}, format="%H:%M"),
        )
        super().__init__(required=False, **kwargs)


def moment_of(typed: time | None, site: Site, now: datetime | None = None) -> datetime:
    """The moment that a time on the clock of a site means: the last one that has come.

    Raises
    ------
    ValidationError : it lies a little ahead, so that no time of yesterday can be meant.
    """
    now = now or timezone.now()
    if typed is None:
        return now
    zone = ZoneInfo(site.time_zone)
    found = datetime.combine(now.astimezone(zone).date(), typed, zone)
    if found <= now + _AHEAD:
        return min(found, now)
    if found - now < _DAY / 2:
        raise forms.ValidationError(
            f"{typed:%H:%M} has not come yet; write when it happened, or leave it empty for now."
        )
    return found - _DAY

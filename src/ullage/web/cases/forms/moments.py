"""When something happened, as people type it beside the table: a time on the clock, or now."""

from datetime import UTC, date, datetime, time, timedelta
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

    In the hour that comes twice when clocks go back, it is the second one once that has come.

    Raises
    ------
    ValidationError : it lies a little ahead, so that no time of yesterday can be meant, or the
        clock left it out.
    """
    now = now or timezone.now()
    if typed is None:
        return now
    zone = ZoneInfo(site.time_zone)
    today = now.astimezone(zone).date()
    told = _on(today, typed, zone)
    come = [one for one in told if one <= now + _AHEAD]
    if come:
        return min(come[-1], now)
    if told[0] - now < _DAY / 2:
        raise forms.ValidationError(
            f"{typed:%H:%M} has not come yet; write when it happened, or leave it empty for now."
        )
    return _on(today - _DAY, typed, zone)[-1]


def _on(day: date, typed: time, zone: ZoneInfo) -> list[datetime]:
    """The moments of a day at which its clock showed a time: one, or two as the clock goes back."""
    on_clock = datetime.combine(day, typed)
    told = {on_clock.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    shown = [one for one in told if one.astimezone(zone).replace(tzinfo=None, fold=0) == on_clock]
    if not shown:
        raise forms.ValidationError(
            f"The clock left out {typed:%H:%M} on {day.isoformat()}; "
            "write the time that it showed, or leave it empty for now."
        )
    return sorted(shown)

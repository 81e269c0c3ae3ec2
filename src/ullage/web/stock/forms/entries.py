"""Entries that several forms here share: a count, a time that has come, the code of a form."""

from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.utils import timezone

__all__ = ["Timed", "code_field", "count_field", "when_field"]

_AHEAD = timedelta(minutes=2)


def count_field(label: str, *, least: int = 1, **known: Any) -> forms.IntegerField:
    """A whole number of pieces."""
    widget = forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(
        label=label, min_value=least, max_value=10_000, widget=widget, **known
    )


def code_field() -> forms.UUIDField:
    """Made with the empty form: the same form sent twice is kept once."""
    return forms.UUIDField(required=False, widget=forms.HiddenInput)


def when_field() -> forms.DateTimeField:
    """When it happened, if that is not now."""
    return forms.DateTimeField(
        label="When, if not now",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
    )


class Timed(forms.Form):
    """A form with a time; one that has not come is refused."""

    def clean_at(self) -> datetime | None:
        """A time that has come."""
        at: datetime | None = self.cleaned_data.get("at")
        if at is not None and at > timezone.now() + _AHEAD:
            raise forms.ValidationError("This time has not come yet; write when it happened.")
        return at

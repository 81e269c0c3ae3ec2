"""What every write here needs: a time that has come, a change that is kept."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import models
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.shared.changes import plain_row, write_differing
from ullage.web.sites.selectors import Site
from ullage.web.stock.models import StockChange

__all__ = ["change_write", "come"]

#: Clocks of two devices may differ by so much.
_AHEAD = timedelta(minutes=2)


def come(at: datetime | None) -> datetime:
    """The time that was said, or now; one that has not come yet is refused."""
    now = timezone.now()
    if at is not None and at > now + _AHEAD:
        raise RuleBroken("This time has not come yet; write when it happened.")
    return at or now


def change_write(
    *, site: Site, subject: str, thing: models.Model, facts: Mapping[str, Any], by: User
) -> None:
    """Write what differs, and keep who, when, before and after."""
    before, after = write_differing(thing, facts)
    if after:
        StockChange.objects.create(
            site=site, subject=subject, before=plain_row(before), after=plain_row(after), by=by
        )

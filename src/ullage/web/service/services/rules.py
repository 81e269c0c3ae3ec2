"""A site sets its intervals and its limit; what held before stays readable."""

from django.db import transaction

from ullage.answers.service import limit_of, site_interval
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.service.models import Interval, OutputRule
from ullage.web.sites.selectors import Site

__all__ = ["interval_set", "limit_set"]


@transaction.atomic
def interval_set(
    *, site: Site, thing: str, task: str, days: int | None, why: str, by: User
) -> Interval:
    """Set how often a task is done on a kind of thing; without days the published one holds.

    Raises
    ------
    UnknownReference, InvalidQuantity : a task, a kind or a number of days that cannot be.
    RuleBroken : no reason.
    """
    _refuse_without(why)
    site_interval(thing, task, 365 if days is None else days, why)
    return Interval.objects.create(
        site=site, thing=thing, task=task, days=days, why=why.strip(), by=by
    )


@transaction.atomic
def limit_set(
    *, site: Site, key: str, of_dial_share: float | None, why: str, by: User
) -> OutputRule:
    """Set how far from its dial a vaporizer may be: a published limit, or a share of the dial.

    Raises
    ------
    InvalidQuantity : a share that cannot be.
    RuleBroken : no reason, or a limit that nobody published.
    """
    _refuse_without(why)
    if limit_of(key, of_dial_share) is None:
        raise RuleBroken("Choose one of the limits, or write a share of the dial.")
    kept = "" if of_dial_share is not None else key
    return OutputRule.objects.create(
        site=site, key=kept, of_dial_share=of_dial_share, why=why.strip(), by=by
    )


def _refuse_without(why: str) -> None:
    if not why.strip():
        raise RuleBroken("Say why, or on whose word; it stands beside the rule.")

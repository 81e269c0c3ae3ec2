"""Things in store are added, changed, no longer kept; a site chooses its service."""

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import Room, Site
from ullage.web.stock.models import ItemKind, StockItem, StockOrder, StockRule
from ullage.web.stock.services.log import change_write, come

__all__ = ["ItemFacts", "item_add", "item_change", "item_retire", "items_since", "rule_set"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFacts:
    """What a person says about a thing in store; ``code`` was made with the form."""

    name: str
    room: Room | None = None
    place: str = ""
    gas: str = ""
    size: str = ""
    piece: str = "piece"
    pieces: str = ""
    usual_days: float | None = None
    longest_days: float | None = None
    every_days: float = 7.0
    look_days: float = 0.0
    pack: int = 1
    usual_per_week: float | None = None
    code: UUID | None = None


def _row(site: Site, facts: ItemFacts, item: StockItem | None) -> dict[str, Any]:
    row = {one.name: getattr(facts, one.name) for one in fields(facts) if one.name != "code"}
    row["name"] = facts.name.strip()
    if not row["name"]:
        raise RuleBroken("Give it a name.")
    if facts.room is not None and facts.room.site_id != site.pk:
        raise RuleBroken(f"{facts.room} is no room of {site}.")
    if facts.usual_days is not None and (facts.longest_days or facts.usual_days) < facts.usual_days:
        raise RuleBroken("The longest time of a delivery cannot be shorter than the usual one.")
    others = StockItem.objects.filter(site=site, name__iexact=row["name"], retired_at=None)
    if (others.exclude(pk=item.pk) if item else others).exists():
        raise RuleBroken(f"{row['name']} is kept already; give this one another name.")
    return row


@transaction.atomic
def item_add(*, site: Site, kind: str, facts: ItemFacts, by: User) -> StockItem:
    """Add a thing in store; the same form sent twice adds one.

    Raises
    ------
    RuleBroken : a name that is there already, a kind that does not exist, a room elsewhere.
    """
    if kind not in ItemKind.values:
        raise RuleBroken("Nobody keeps a thing of this kind.")
    if facts.code is not None:
        before = StockItem.objects.filter(code=facts.code, site=site).first()
        if before is not None:
            return before
    row = _row(site, facts, None)
    if kind == ItemKind.CYLINDER and not row["gas"]:
        raise RuleBroken("Say which gas is in these cylinders.")
    own = {"code": facts.code} if facts.code else {}
    order = list(ItemKind.values).index(kind)
    now = timezone.now()
    return StockItem.objects.create(site=site, kind=kind, order=order, added_at=now, **row, **own)


@transaction.atomic
def item_change(*, item: StockItem, facts: ItemFacts, by: User) -> StockItem:
    """Change what is written of a thing; the change is kept."""
    row = _row(item.site, facts, item)
    subject = f"item:{item.pk}"
    change_write(site=item.site, subject=subject, thing=item, facts=row, by=by)
    return item


@transaction.atomic
def item_retire(*, item: StockItem, by: User, back: bool = False) -> None:
    """Keep a thing no longer, or keep it again; its ledger stays.

    Raises
    ------
    RuleBroken : something of it is still on order, or its name was given away.
    """
    if not back and StockOrder.objects.filter(item=item, closed_at=None, cancelled_at=None):
        raise RuleBroken("Something of it is still on order: receive or cancel that first.")
    again = StockItem.objects.filter(site=item.site, name__iexact=item.name, retired_at=None)
    if back and again.exclude(pk=item.pk).exists():
        raise RuleBroken(f"{item.name} is kept already; change the name of one of them.")
    at = None if back else timezone.now()
    change_write(
        site=item.site, subject=f"item:{item.pk}", thing=item, facts={"retired_at": at}, by=by
    )


@transaction.atomic
def items_since(*, item: StockItem, at: datetime) -> None:
    """Say since when a thing is kept, where its ledger was kept elsewhere before.

    Raises
    ------
    RuleBroken : a time that has not come.
    """
    item.added_at = come(at)
    item.save(update_fields=["added_at"])


@transaction.atomic
def rule_set(*, site: Site, service_share: float | None, by: User) -> StockRule:
    """Choose the service of the site, or none; the change is kept.

    Raises
    ------
    RuleBroken : a share that nobody can choose.
    """
    if service_share is not None and not 0.5 <= service_share <= 0.999:
        raise RuleBroken("Choose a share between 50 and 99.9 %.")
    rule, _ = StockRule.objects.get_or_create(site=site)
    change_write(
        site=site, subject="rule", thing=rule, facts={"service_share": service_share}, by=by
    )
    return rule

"""Shelves: what is there, what is on order, when to order; one shelf with its ledger."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Sum
from django.utils import timezone

from ullage.answers.stock import Filled, OrderLine, Reorder, Shelf, reorder_of, what_to_order
from ullage.web.sites.selectors import Site
from ullage.web.stock.models import (
    ItemKind,
    StockChange,
    StockItem,
    StockMove,
    StockOrder,
    StockRule,
)
from ullage.web.stock.selectors.ledger import counts_of, standing
from ullage.web.stock.selectors.use import Seen, seen_at, use_of
from ullage.web.supply.selectors import Cylinder

__all__ = [
    "ItemPage",
    "ShelfRow",
    "item_page",
    "open_orders",
    "service_of",
    "shelf_rows",
    "stock_changes",
    "to_order",
]

_HISTORY = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow:
    """One shelf: full ones, empties, what is on order, and when to order.

    ``since_count`` is how many seals went with changes since the shelf was counted.
    """

    item: StockItem
    written: int
    empty: int
    since_count: int
    orders: tuple[StockOrder, ...]
    reorder: Reorder

    @property
    def full(self) -> int:
        """Full ones that should be there."""
        return self.reorder.shelf.full

    @property
    def is_below_nothing(self) -> bool:
        """Whether more was taken than was ever written: the shelf is to be counted."""
        return self.written - self.since_count < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemPage:
    """One shelf with its ledger, the latest line first, and what was changed about it."""

    row: ShelfRow
    moves: tuple[StockMove, ...]
    orders: tuple[StockOrder, ...]
    changes: tuple[StockChange, ...]


def service_of(site: Site) -> float | None:
    """The service that a site chose; None where it has not."""
    return StockRule.objects.filter(site=site).values_list("service_share", flat=True).first()


def open_orders(items: Iterable[StockItem]) -> dict[int, list[StockOrder]]:
    """What is on order, by thing; each order says what of it has come."""
    rows = StockOrder.objects.filter(item__in=list(items), closed_at=None, cancelled_at=None)
    found: dict[int, list[StockOrder]] = {}
    for order in rows.annotate(came=Sum("moves__full")).select_related("item", "by"):
        order.left = max(0, order.count - (order.came or 0))  # type: ignore[attr-defined]  # shown
        found.setdefault(order.item_id, []).append(order)
    return found


def shelf_rows(site: Site, now: datetime | None = None, *, retired: bool = False) -> list[ShelfRow]:
    """Every shelf of a site in its order; a constant number of queries."""
    at = now or timezone.now()
    items = list(
        StockItem.objects.filter(site=site, retired_at__isnull=not retired).select_related("room")
    )
    return _rows(site, items, at)


def _rows(site: Site, items: list[StockItem], now: datetime) -> list[ShelfRow]:
    seen = seen_at(site, items, now)
    held = standing(items)
    cylinders = _cylinders(site)
    orders = open_orders(items)
    counted = counts_of(items)
    service = service_of(site)
    rows = []
    for item in items:
        full, empty = held.get(item.pk, (0, 0))
        gone = 0
        if item.kind == ItemKind.CYLINDER:
            full, empty = _of_kind(cylinders, item)
        elif item.kind == ItemKind.SEAL:
            since = counted[item.pk][0] if item.pk in counted else item.added_at
            gone = sum(1 for at, *_ in seen.connected if at > since)
        mine = tuple(orders.get(item.pk, ()))
        shelf = _shelf(item, full - gone, mine, seen, service)
        rows.append(
            ShelfRow(
                item=item,
                written=full,
                empty=max(0, empty),
                since_count=gone,
                orders=mine,
                reorder=reorder_of(shelf),
            )
        )
    return rows


def _cylinders(site: Site) -> list[tuple[str, str, str]]:
    """Gas, size and state of what stands at a site and feeds nothing."""
    rows = Cylinder.objects.filter(site=site, source=None, state__in=["full", "empty"])
    return list(rows.values_list("gas", "size", "state"))


def _of_kind(cylinders: list[tuple[str, str, str]], item: StockItem) -> tuple[int, int]:
    mine = [state for gas, size, state in cylinders if gas == item.gas and item.size in {"", size}]
    return mine.count("full"), mine.count("empty")


def _shelf(
    item: StockItem, full: int, orders: tuple[StockOrder, ...], seen: Seen, service: float | None
) -> Shelf:
    longest = item.longest_days if item.usual_days is not None else None
    return Shelf(
        name=item.name,
        full=max(0, full),
        on_order=sum(order.left for order in orders),  # type: ignore[attr-defined]  # annotated
        piece=item.piece,
        pieces=item.pieces,
        use=use_of(item, seen),
        filled=Filled(
            usual_days=item.usual_days,
            longest_days=longest,
            every_days=item.every_days,
            look_days=item.look_days,
            pack=item.pack,
        ),
        service_share=service,
        today=timezone.localdate(seen.now),
    )


def item_page(item: StockItem, now: datetime | None = None) -> ItemPage:
    """One shelf with its ledger."""
    row = _rows(item.site, [item], now or timezone.now())[0]
    moves = StockMove.objects.filter(item=item).select_related("by", "undoes", "undone_by")
    orders = StockOrder.objects.filter(item=item).select_related("by")
    return ItemPage(
        row=row,
        moves=tuple(moves[:_HISTORY]),
        orders=tuple(orders[:20]),
        changes=tuple(stock_changes(item.site, f"item:{item.pk}")),
    )


def to_order(site: Site, now: datetime | None = None) -> list[tuple[ShelfRow, OrderLine]]:
    """What to order today, with its shelf; then what cannot be told yet."""
    rows = {row.reorder.shelf: row for row in shelf_rows(site, now)}
    return [(rows[line.shelf], line) for line in what_to_order(rows)]


def stock_changes(site: Site, subject: str, count: int = 20) -> list[StockChange]:
    """The last changes of one thing, the newest first."""
    rows = StockChange.objects.filter(site=site, subject=subject).select_related("by")
    return list(rows[:count])

"""Orders are placed, received in one or several parts, or cancelled."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.stock.models import ItemKind, MoveKind, StockItem, StockMove, StockOrder
from ullage.web.stock.services.log import come
from ullage.web.stock.services.moves import MoveFacts, move_add

__all__ = ["order_add", "order_cancel", "order_receive"]

_MOST = 10_000


@transaction.atomic
def order_add(
    *,
    item: StockItem,
    count: int,
    by: User,
    expected_on: date | None = None,
    note: str = "",
    code: UUID | None = None,
) -> StockOrder:
    """Write down that something was ordered; the same form sent twice writes one.

    Raises
    ------
    RuleBroken : a count that cannot be, or a thing that is no longer kept.
    """
    if code is not None:
        before = StockOrder.objects.filter(code=code, item=item).first()
        if before is not None:
            return before
    if item.retired_at is not None:
        raise RuleBroken(f"{item} is no longer kept.")
    if not 1 <= count <= _MOST:
        raise RuleBroken(f"Write a whole number from 1 to {_MOST}.")
    own = {"code": code} if code else {}
    return StockOrder.objects.create(
        item=item,
        count=count,
        at=timezone.now(),
        expected_on=expected_on,
        note=note.strip(),
        by=by,
        **own,
    )


@transaction.atomic
def order_receive(
    *,
    order: StockOrder,
    count: int,
    by: User,
    at: datetime | None = None,
    code: UUID | None = None,
) -> StockMove | None:
    """Write down what came of an order; when all of it came the order is closed.

    Cylinders are received one by one at the supply: here only the order is closed.

    Raises
    ------
    RuleBroken : an order that is closed or was cancelled, a count that cannot be.
    """
    held = StockOrder.objects.select_for_update().select_related("item").get(pk=order.pk)
    if code is not None:
        before = StockMove.objects.filter(code=code, item=held.item).first()
        if before is not None:
            return before
    if held.cancelled_at is not None or held.closed_at is not None:
        raise RuleBroken("This order is closed already.")
    when = come(at)
    move = None
    if held.item.kind != ItemKind.CYLINDER:
        facts = MoveFacts(kind=MoveKind.RECEIVED, count=count, at=when, stock_order=held, code=code)
        move = move_add(item=held.item, facts=facts, by=by)
        came = StockMove.objects.filter(stock_order=held).aggregate(whole=Sum("full"))["whole"] or 0
    else:
        came = held.count
    if came >= held.count:
        held.closed_at = when
        held.save(update_fields=["closed_at"])
    return move


@transaction.atomic
def order_cancel(*, order: StockOrder, why: str) -> None:
    """Cancel what has not come of an order; it stays readable with its reason.

    Raises
    ------
    RuleBroken : it is closed, or no reason was said.
    """
    held = StockOrder.objects.select_for_update().get(pk=order.pk)
    if held.cancelled_at is not None or held.closed_at is not None:
        raise RuleBroken("This order is closed already.")
    if not why.strip():
        raise RuleBroken("Say why it is cancelled; the order stays readable.")
    held.cancelled_at, held.cancelled_why = timezone.now(), why.strip()
    held.save(update_fields=["cancelled_at", "cancelled_why"])

"""One thing, move, order, fitted thing or place; to a stranger it is as if it did not exist."""

from uuid import UUID

from django.db.models import Model, QuerySet
from django.http import Http404

from ullage.web.accounts.selectors import User
from ullage.web.stock.models import (
    Fitted,
    FittedNote,
    StockItem,
    StockMove,
    StockOrder,
    StorageArea,
)

__all__ = ["area_for", "fitted_for", "item_for", "move_for", "note_for", "order_for"]


def _or_404[T: Model](found: QuerySet[T]) -> T:
    one = found.first()
    if one is None:
        raise Http404
    return one


def item_for(user: User, code: UUID) -> StockItem:
    """A thing in store with its site and room; 404 for strangers."""
    rows = StockItem.objects.filter(code=code, site__memberships__user=user)
    return _or_404(rows.select_related("site", "room"))


def move_for(user: User, code: UUID) -> StockMove:
    """A line of a ledger with its thing; 404 for strangers."""
    rows = StockMove.objects.filter(code=code, item__site__memberships__user=user)
    return _or_404(rows.select_related("item", "item__site", "by"))


def order_for(user: User, code: UUID) -> StockOrder:
    """An order with its thing; 404 for strangers."""
    rows = StockOrder.objects.filter(code=code, item__site__memberships__user=user)
    return _or_404(rows.select_related("item", "item__site"))


def fitted_for(user: User, code: UUID) -> Fitted:
    """A canister or a filling with its machine; 404 for strangers."""
    rows = Fitted.objects.filter(code=code, site__memberships__user=user)
    return _or_404(rows.select_related("site", "machine", "part", "item", "put_in_by"))


def note_for(user: User, code: UUID) -> FittedNote:
    """A note with what it is of; 404 for strangers."""
    rows = FittedNote.objects.filter(code=code, fitted__site__memberships__user=user)
    return _or_404(rows.select_related("fitted", "fitted__site"))


def area_for(user: User, code: UUID) -> StorageArea:
    """A place of storage with its room; 404 for strangers."""
    rows = StorageArea.objects.filter(code=code, site__memberships__user=user)
    return _or_404(rows.select_related("site", "room"))

"""One thing, move, order, fitted thing or place; to a stranger it is as if it did not exist."""

from uuid import UUID

from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import own_or_404
from ullage.web.stock.models import (
    Fitted,
    FittedNote,
    StockItem,
    StockMove,
    StockOrder,
    StorageArea,
)

__all__ = ["area_for", "fitted_for", "item_for", "move_for", "note_for", "order_for"]


def item_for(user: User, code: UUID) -> StockItem:
    """A thing in store with its site and room; 404 for strangers."""
    return own_or_404(StockItem.objects.select_related("site", "room"), user, code)


def move_for(user: User, code: UUID) -> StockMove:
    """A line of a ledger with its thing; 404 for strangers."""
    return own_or_404(
        StockMove.objects.select_related("item", "item__site", "by"), user, code, "item__site"
    )


def order_for(user: User, code: UUID) -> StockOrder:
    """An order with its thing; 404 for strangers."""
    return own_or_404(
        StockOrder.objects.select_related("item", "item__site"), user, code, "item__site"
    )


def fitted_for(user: User, code: UUID) -> Fitted:
    """A canister or a filling with its machine; 404 for strangers."""
    return own_or_404(
        Fitted.objects.select_related("site", "machine", "part", "item", "put_in_by"), user, code
    )


def note_for(user: User, code: UUID) -> FittedNote:
    """A note with what it is of; 404 for strangers."""
    return own_or_404(
        FittedNote.objects.select_related("fitted", "fitted__site"), user, code, "fitted__site"
    )


def area_for(user: User, code: UUID) -> StorageArea:
    """A place of storage with its room; 404 for strangers."""
    return own_or_404(StorageArea.objects.select_related("site", "room"), user, code)

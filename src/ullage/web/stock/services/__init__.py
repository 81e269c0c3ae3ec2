"""Every write to what is in store: things, moves, orders, what is fitted, places of storage."""

from ullage.web.stock.services.fitted import (
    SAID,
    FittedFacts,
    fitted_note,
    fitted_note_take_back,
    fitted_put_in,
    fitted_said,
    fitted_take_out,
)
from ullage.web.stock.services.items import (
    ItemFacts,
    item_add,
    item_change,
    item_retire,
    items_since,
    rule_set,
)
from ullage.web.stock.services.moves import MoveFacts, move_add, move_take_back, moves_write
from ullage.web.stock.services.orders import order_add, order_cancel, order_receive
from ullage.web.stock.services.storage import area_add, area_change, area_look

__all__ = [
    "SAID",
    "FittedFacts",
    "ItemFacts",
    "MoveFacts",
    "area_add",
    "area_change",
    "area_look",
    "fitted_note",
    "fitted_note_take_back",
    "fitted_put_in",
    "fitted_said",
    "fitted_take_out",
    "item_add",
    "item_change",
    "item_retire",
    "items_since",
    "move_add",
    "move_take_back",
    "moves_write",
    "order_add",
    "order_cancel",
    "order_receive",
    "rule_set",
]

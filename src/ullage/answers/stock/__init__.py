"""Consumables: when to order, when absorbent and charcoal are used up."""

from ullage.answers.stock.canister import Canister, canister_full, held_g
from ullage.answers.stock.filling import Filling, filling_due
from ullage.answers.stock.load import case_load_l, takes_absorbent
from ullage.answers.stock.orders import OrderLine, full_one_stands, what_to_order
from ullage.answers.stock.reorder import Reorder, expected_use, reorder, reorder_of
from ullage.answers.stock.things import Filled, Shelf, UseSeen

__all__ = [
    "Canister",
    "Filled",
    "Filling",
    "OrderLine",
    "Reorder",
    "Shelf",
    "UseSeen",
    "canister_full",
    "case_load_l",
    "expected_use",
    "filling_due",
    "full_one_stands",
    "held_g",
    "reorder",
    "reorder_of",
    "takes_absorbent",
    "what_to_order",
]

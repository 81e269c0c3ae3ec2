"""Addresses of stock, and the things that they are about."""

from datetime import timedelta
from types import SimpleNamespace
from uuid import uuid4

from django.utils import timezone

from tests.web.addresses.door import Bad, Door, Typed, just
from ullage.web.accounts.models import User
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Room
from ullage.web.stock.models import (
    Fitted,
    FittedNote,
    StockItem,
    StockMove,
    StockOrder,
    StorageArea,
)

__all__ = ["STOCK_DOORS", "stock_things"]


def stock_things(machine: Machine, by: User) -> dict[str, object]:
    """A shelf with a move and an order, a canister with a weight that is asked about, a store."""
    site, ago = machine.site, timezone.now() - timedelta(days=2)
    shelf = StockItem.objects.create(
        site=site, kind="other", name="Filters", piece="filter", usual_days=4.0, added_at=ago
    )
    spare = StockItem.objects.create(site=site, kind="other", name="Gauze", added_at=ago)
    move = StockMove.objects.create(item=shelf, kind="counted", full=9, counted=9, at=ago, by=by)
    order = StockOrder.objects.create(item=shelf, count=6, at=ago, by=by)
    canister = Fitted.objects.create(
        site=site, kind="canister", name="Can 7", start_kg=0.21, put_in_at=ago, put_in_by=by
    )
    note = FittedNote.objects.create(
        fitted=canister,
        kind="weight",
        facts={"weight_kg": 0.2},
        at=timezone.now(),
        asked="Is it upright?",
        counts=False,
        by=by,
    )
    room = Room.objects.create(site=site, name="Gas store", volume_m3=40.0)
    area = StorageArea.objects.create(site=site, room=room, name="Gas store", added_at=ago)
    return {
        "shelf": shelf,
        "spare": spare,
        "move": move,
        "stock_order": order,
        "canister": canister,
        "note": note,
        "area": area,
    }


def _coded(**typed: str) -> object:
    return lambda made: {**typed, "code": str(uuid4())}


def _room(made: SimpleNamespace) -> Typed:
    return {"room": str(made.room.pk)}


_ITEM = {"name": "Soda lime", "pack": "2", "every_days": "7", "usual_days": "5"}
_AREA = {"name": "Gas store", "storage_code": "nfpa99", "enclosed": "yes"}

STOCK_DOORS = (
    Door(name="stock:list"),
    Door(
        name="stock:rule",
        what="manage",
        post=302,
        typed=just(service="0.95"),
        bad=Bad({"service": "always"}, "Select a valid choice", dropped=("always",)),
    ),
    Door(
        name="stock:add",
        what="manage",
        about=just(kind="absorbent"),
        post=302,
        typed=_coded(**_ITEM),
        bad=Bad({**_ITEM, "usual_days": "900"}, "must be between 0 and 365 d"),
    ),
    Door(name="stock:order"),
    Door(name="stock:order_csv"),
    Door(name="stock:order_pdf"),
    Door(
        name="stock:receive",
        what="operate",
        thing="stock_order",
        get=None,
        post=302,
        typed=_coded(count="6"),
        bad=Bad({"count": "several"}, "Enter a whole number"),
    ),
    Door(
        name="stock:cancel",
        what="operate",
        thing="stock_order",
        get=None,
        post=302,
        typed=just(why="Not to be had."),
        bad=Bad({"why": " "}, "This field is required"),
    ),
    Door(name="stock:move_back", what="operate", thing="move", get=None, post=302),
    Door(name="stock:fitted_list"),
    Door(
        name="stock:fitted_add",
        what="operate",
        about=just(kind="canister"),
        post=302,
        typed=_coded(name="Can 8", start_kg="209"),
        bad=Bad({"name": "Can 8", "start_kg": "0"}, "must be between 1 and 20000 g"),
    ),
    Door(name="stock:fitted", thing="canister"),
    Door(
        name="stock:fitted_out",
        what="operate",
        thing="canister",
        get=None,
        post=302,
        typed=just(why="Full."),
        bad=Bad({"why": "Full.", "at": "2099-01-01T10:00"}, "has not come yet"),
    ),
    Door(
        name="stock:note",
        what="operate",
        thing="canister",
        about=just(kind="weight"),
        get=None,
        post=302,
        typed=_coded(weight_kg="240"),
        bad=Bad({"weight_kg": "heavy"}, "is not a mass"),
    ),
    Door(name="stock:note_back", what="operate", thing="note", get=None, post=302),
    Door(
        name="stock:note_said",
        what="operate",
        thing="note",
        get=None,
        post=302,
        typed=just(choice="right"),
    ),
    Door(name="stock:areas"),
    Door(
        name="stock:area_add",
        what="manage",
        get=None,
        post=302,
        typed=_room,
        bad=Bad({"room": "999999"}, "Select a valid choice", dropped=("999999",)),
    ),
    Door(name="stock:area", thing="area"),
    Door(
        name="stock:area_edit",
        what="manage",
        thing="area",
        post=302,
        typed=just(**_AREA),
        bad=Bad({**_AREA, "name": ""}, "This field is required"),
    ),
    Door(
        name="stock:area_look",
        what="operate",
        thing="area",
        get=None,
        post=302,
        typed=_coded(held="yes"),
        bad=Bad({"hottest_k": "900", "note": "Warm."}, "must be between -30 and 70 °C"),
    ),
    Door(name="stock:item", thing="shelf"),
    Door(
        name="stock:edit",
        what="manage",
        thing="shelf",
        post=302,
        typed=just(**{**_ITEM, "name": "Filters, small"}),
        bad=Bad({**_ITEM, "pack": "none"}, "Enter a whole number"),
    ),
    Door(
        name="stock:move",
        what="operate",
        thing="shelf",
        get=None,
        post=302,
        typed=_coded(kind="used", count="2"),
        bad=Bad({"kind": "used", "count": "44", "why": "All."}, "Only 9 are written down"),
    ),
    Door(name="stock:use_one", what="operate", thing="shelf", get=None, post=302, typed=_coded()),
    Door(
        name="stock:place",
        what="operate",
        thing="shelf",
        get=None,
        post=302,
        typed=_coded(count="6"),
        bad=Bad({"count": "0", "note": "PO 77"}, "greater than or equal to 1"),
    ),
    Door(name="stock:retire", what="manage", thing="spare", get=None, post=302),
    Door(name="stock:keep", what="manage", thing="shelf", get=None, post=302),
)

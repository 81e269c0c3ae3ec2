"""What is kept in store in the practice world: shelves, an order, canisters, fillings, stores.

The story: cylinders are on order, a filling is due, and a canister is full by what has flowed to
it before its weight says so. All figures are invented.
"""

from datetime import timedelta
from typing import Any

from ullage.web.demo.rows import SiteRows
from ullage.web.machines.selectors import Machine, parts_of
from ullage.web.stock.selectors import StockItem
from ullage.web.stock.services import (
    FittedFacts,
    ItemFacts,
    MoveFacts,
    area_add,
    area_look,
    fitted_note,
    fitted_put_in,
    item_add,
    items_since,
    move_add,
    order_add,
    rule_set,
)

__all__ = ["stock_of_the_world"]

_SERVICE = 0.95
_DAY = 1440.0
#: A thing, its kind, what is known of its deliveries, what was counted first, used days ago.
type Row = tuple[str, str, dict[str, Any], int, tuple[int, ...]]

_SHELVES: tuple[Row, ...] = (
    (
        "Soda lime, fillings of 1.1 kg",
        "absorbent",
        {"piece": "filling", "pieces": "fillings", "usual_days": 5.0, "longest_days": 9.0},
        12,
        (25, 22, 18, 16, 11, 9, 3),
    ),
    (
        "Charcoal canisters",
        "canister",
        {"piece": "canister", "pieces": "canisters", "usual_days": 6.0, "pack": 4},
        9,
        (26, 23, 19, 17, 12, 8, 5),
    ),
    (
        "Isoflurane, 250 mL",
        "agent",
        {"piece": "bottle", "pieces": "bottles", "usual_days": 3.0, "longest_days": 6.0},
        11,
        (24, 20, 17, 13, 10, 6, 4),
    ),
    (
        "Seals for yokes",
        "seal",
        {"piece": "seal", "pieces": "seals", "usual_days": 4.0, "pack": 10},
        24,
        (),
    ),
)
_CYLINDERS: dict[str, tuple[tuple[str, str], ...]] = {
    "UK": (("Oxygen J", "J"), ("Oxygen E", "E")),
    "US": (("Oxygen H", "H"), ("Oxygen E", "E")),
}
#: What flowed to the canister on the mask bench: agent, dial, flow, minutes; all of yesterday.
_FLOWED = (("isoflurane", 0.05, 2.0, 45.0, 8.2), ("isoflurane", 0.03, 1.0, 80.0, 9.5))


def stock_of_the_world(world: SiteRows, midnight: int) -> None:
    """Shelves and their ledger since four weeks, and what is fitted, up to this morning."""
    is_uk = world.cast.region == "UK"
    made = {name: _cylinders(world, name, size) for name, size in _CYLINDERS[world.cast.region]}
    for row in _SHELVES if is_uk else _SHELVES[-1:]:
        made[row[0]] = _shelf(world, row, midnight)
    _areas(world, midnight)
    if not is_uk:
        return
    rule_set(site=world.site, service_share=_SERVICE, by=world.people[0])
    expected = world.at(midnight + 2 * _DAY).date()
    order_add(
        item=made["Oxygen E"],
        count=4,
        by=world.people[1],
        expected_on=expected,
        note="Order 2214 (invented)",
    )
    _canister(world, midnight)
    _fillings(world, midnight)


def _cylinders(world: SiteRows, name: str, size: str) -> StockItem:
    facts = ItemFacts(
        name=name,
        room=world.rooms[world.cast.rooms[-1].name],
        gas="oxygen",
        size=size,
        piece="cylinder",
        pieces="cylinders",
        usual_days=2.0,
        longest_days=5.0,
        every_days=14.0,
    )
    return item_add(site=world.site, kind="cylinder", facts=facts, by=world.people[0])


def _shelf(world: SiteRows, row: Row, midnight: int) -> StockItem:
    """One shelf, counted as the story begins, and used since."""
    name, kind, known, counted, used = row
    facts = ItemFacts(name=name, place="Theatre store, top shelf", every_days=14.0, **known)
    item = item_add(site=world.site, kind=kind, facts=facts, by=world.people[0])
    first = world.at(midnight - 28 * _DAY + 500)
    items_since(item=item, at=first)
    move_add(
        item=item, facts=MoveFacts(kind="counted", count=counted, at=first), by=world.people[0]
    )
    for number, days in enumerate(used):
        at = world.at(midnight - days * _DAY + 540 + 20 * number)
        move_add(item=item, facts=MoveFacts(kind="used", count=1, at=at), by=world.people[1])
    return item


def _areas(world: SiteRows, midnight: int) -> None:
    """The room in which cylinders are stored; somebody looked there the day before yesterday."""
    area = area_add(
        site=world.site, room=world.rooms[world.cast.rooms[-1].name], by=world.people[0]
    )
    if world.cast.region == "UK":
        seen = {"apart": True, "held": True, "upright": True, "far_from_fuel": True, "capped": True}
        at = world.at(midnight - 2 * _DAY + 600)
        area_look(area=area, facts=seen, by=world.people[1], at=at)


def _canister(world: SiteRows, midnight: int) -> None:
    """Put in yesterday; full by what flowed, 31 g heavier on the scale this morning."""
    machine = world.machines["Siskin"]
    facts = FittedFacts(
        name="Can 14",
        machine=machine,
        part=_part(machine, "scavenging"),
        start_kg=0.212,
        limit_kg=0.050,
        at=world.at(midnight - _DAY + 445),
    )
    by = world.people[1]
    can = fitted_put_in(site=world.site, kind="canister", facts=facts, by=by)
    for agent, dial, flow, minutes, hour in _FLOWED:
        said = {"agent": agent, "fraction": dial, "flow_l_min": flow, "minutes": minutes}
        at = world.at(midnight - _DAY + hour * 60.0)
        fitted_note(fitted=can, kind="flow", facts=said, by=by, at=at)
    weighed = world.at(midnight + 480)
    fitted_note(fitted=can, kind="weight", facts={"weight_kg": 0.243}, by=by, at=weighed)


def _fillings(world: SiteRows, midnight: int) -> None:
    """One that is due, one that is fresh."""
    by = world.people[1]
    for name, days in (("Heron", 9), ("Curlew", 3)):
        machine = world.machines[name]
        facts = FittedFacts(
            name=f"Soda lime, {name}",
            machine=machine,
            part=_part(machine, "absorber"),
            mass_kg=1.1,
            at=world.at(midnight - days * _DAY + 450),
        )
        made = fitted_put_in(site=world.site, kind="absorbent", facts=facts, by=by)
        if name == "Heron":
            at = world.at(midnight) - timedelta(hours=8)
            said = {"colour_share": 0.6, "after_use": True}
            fitted_note(fitted=made, kind="look", facts=said, by=by, at=at)


def _part(machine: Machine, kind: str) -> Any:
    return next((one for one in parts_of(machine.site, kind) if one.machine == machine), None)

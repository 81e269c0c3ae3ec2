"""Places of storage: what stands there, its tally, one more, how it stands, the air of the room."""

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.answers import Answer, Verdict
from ullage.answers.chain_links.judge import GRAVITY
from ullage.answers.chain_things import Stored
from ullage.answers.storage import (
    Kept,
    StorageArea,
    one_more_stored,
    store_air,
    store_kept,
    store_leaks,
    stored_within_code,
)
from ullage.web.sites.selectors import Room, Site
from ullage.web.stock import models
from ullage.web.stock.models import StorageLook
from ullage.web.supply.selectors import Cylinder, place_of, store_lots

__all__ = ["AreaPage", "area_page", "area_rows", "rooms_without"]

#: A leak that nobody hears, for the air of the room [L/min].
_LEAK_L_MIN = 1.0
_ENCLOSED = {"yes": True, "no": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaPage:
    """One place of storage with its answers; ``unknown`` cylinders could not be counted."""

    area: models.StorageArea
    cylinders: tuple[Cylinder, ...]
    empties: tuple[Cylinder, ...]
    unknown: int
    tally: Answer
    more: tuple[Answer, ...]
    kept: Answer
    air: Answer | None
    leak: Answer | None
    looks: tuple[StorageLook, ...]

    @property
    def verdict(self) -> Verdict:
        """The gravest of tally and how it stands."""
        found = [one.verdict or Verdict.FINE for one in (self.tally, self.kept)]
        return min(found, key=GRAVITY.index)


def area_rows(site: Site) -> list[AreaPage]:
    """Every place of storage of a site; a constant number of queries."""
    areas = list(models.StorageArea.objects.filter(site=site).select_related("room", "site"))
    return _pages(areas)


def area_page(area: models.StorageArea) -> AreaPage:
    """One place of storage."""
    return _pages([area])[0]


def rooms_without(site: Site) -> list[Room]:
    """Rooms that are no place of storage yet."""
    return list(Room.objects.filter(site=site, storage_area=None))


def _pages(areas: Sequence[models.StorageArea]) -> list[AreaPage]:
    rooms = [one.room_id for one in areas]
    standing: dict[int, list[Cylinder]] = {}
    rows = Cylinder.objects.filter(room__in=rooms, source=None).exclude(state="returned")
    for cylinder in rows:
        standing.setdefault(cylinder.room_id or 0, []).append(cylinder)
    looks: dict[int, list[StorageLook]] = {}
    for look in StorageLook.objects.filter(area__in=list(areas)).select_related("by"):
        looks.setdefault(look.area_id, []).append(look)
    return [_page(one, standing.get(one.room_id, []), looks.get(one.pk, [])) for one in areas]


def _page(area: models.StorageArea, standing: list[Cylinder], looks: list[StorageLook]) -> AreaPage:
    # Set apart is neither full nor empty by anybody's word: it counts as full.
    holding = [one for one in standing if one.state != "empty"]
    empties = [one for one in standing if one.state == "empty"]
    lots, unknown = store_lots(holding, area.site)
    thing = StorageArea(
        name=area.name,
        place=place_of(area.site, area.room),
        stored=lots,
        empty=len(empties),
        code=area.storage_code or area.site.storage_code or None,
        enclosed=_ENCLOSED.get(area.enclosed),
        room_m3=area.room.volume_m3,
        changes_per_h=area.room.air_changes_per_h,
    )
    largest = max(lots, key=lambda one: one.contents_l, default=None)
    return AreaPage(
        area=area,
        cylinders=tuple(holding),
        empties=tuple(empties),
        unknown=unknown,
        tally=stored_within_code(thing),
        more=tuple(_more(thing, lots)),
        kept=store_kept(_kept(looks, standing), thing.place),
        air=store_air(thing, largest) if largest else None,
        leak=store_leaks(thing, largest.gas, _LEAK_L_MIN) if largest else None,
        looks=tuple(looks[:20]),
    )


def _more(area: StorageArea, lots: Sequence[Stored]) -> list[Answer]:
    """One more of each kind that stands there; the two largest are enough to see the limit."""
    kinds = {(one.gas, one.contents_l): one for one in lots}
    chosen = sorted(kinds.values(), key=lambda one: -one.contents_l)[:2]
    return [one_more_stored(area, Stored(gas=one.gas, contents_l=one.contents_l)) for one in chosen]


def _kept(looks: Sequence[StorageLook], standing: Sequence[Cylinder]) -> Kept:
    """The last word on each question, and the largest cylinder that stands there."""
    facts: dict[str, object] = {}
    for look in reversed(looks):
        facts |= look.facts
    largest = max((one.water_capacity_l for one in standing), default=None)
    return Kept(largest_water_l=largest, **facts)  # type: ignore[arg-type]  # as they were kept

"""A site with shelves, what is fitted, and a place of storage."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.web.sites.models import Room
from ullage.web.stock.services import (
    FittedFacts,
    ItemFacts,
    MoveFacts,
    area_add,
    fitted_put_in,
    item_add,
    move_add,
)
from ullage.web.supply.models import Cylinder

DAY = timedelta(days=1)


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def store(site) -> Room:
    return Room.objects.create(site=site, name="Store", volume_m3=30.0, air_changes_per_h=4.0)


@pytest.fixture
def lime(site, store, lead):
    """Fillings of absorbent: ten were counted, deliveries take five days."""
    facts = ItemFacts(
        name="Soda lime", room=store, piece="filling", pieces="fillings", usual_days=5.0
    )
    item = item_add(site=site, kind="absorbent", facts=facts, by=lead)
    move_add(item=item, facts=MoveFacts(kind="counted", count=10), by=lead)
    return item


@pytest.fixture
def bottles(site, lead):
    """Bottles of agent, whose empties are kept apart."""
    facts = ItemFacts(name="Isoflurane", piece="bottle", pieces="bottles", usual_days=5.0)
    item = item_add(site=site, kind="agent", facts=facts, by=lead)
    move_add(item=item, facts=MoveFacts(kind="received", count=6), by=lead)
    return item


@pytest.fixture
def cylinder_item(site, lead):
    facts = ItemFacts(name="Oxygen E", gas="oxygen", size="E", piece="cylinder", usual_days=2.0)
    return item_add(site=site, kind="cylinder", facts=facts, by=lead)


@pytest.fixture
def canister(site, machine, lead, now):
    facts = FittedFacts(name="Can 7", machine=machine, start_kg=0.212, at=now - 3 * DAY)
    return fitted_put_in(site=site, kind="canister", facts=facts, by=lead)


@pytest.fixture
def filling(site, machine, lead, now):
    machine.system = "Circle"
    machine.save()
    facts = FittedFacts(name="Lime, Wren", machine=machine, mass_kg=1.0, at=now - 5 * DAY)
    return fitted_put_in(site=site, kind="absorbent", facts=facts, by=lead)


@pytest.fixture
def full_cylinders(site, store):
    """Twelve full E and an empty one, in the store."""
    return [
        Cylinder.objects.create(
            site=site,
            room=store,
            name=f"Tree {number}",
            gas="oxygen",
            size="E",
            water_capacity_l=4.7,
            fill_gauge_kpa=13_700.0,
            state="empty" if number == 12 else "full",
        )
        for number in range(13)
    ]


@pytest.fixture
def area(site, store, lead):
    return area_add(site=site, room=store, by=lead)

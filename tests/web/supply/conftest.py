"""A source with one cylinder on it, one in the store, and helpers to read and post."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ullage.web.supply.models import Cylinder, Reading, Source
from ullage.web.supply.services import (
    CylinderFacts,
    Seen,
    SourceFacts,
    cylinder_connect,
    cylinder_receive,
    reading_save,
    source_add,
)

BAR = 100.0


@pytest.fixture
def receive(site, operator) -> Callable[..., Cylinder]:
    """Take a cylinder into the store; a UK size E unless said otherwise."""

    def make(name: str, **facts: Any) -> Cylinder:
        known = {"gas": "oxygen", "size": "E (UK/ISO)", "water_capacity_l": 4.7}
        known |= {"fill_gauge_kpa": 137 * BAR, "test_pressure_kpa": 207 * BAR}
        at, by = facts.pop("site", site), facts.pop("by", operator)
        return cylinder_receive(
            site=at, facts=CylinderFacts(name=name, **{**known, **facts}), by=by
        )

    return make


@pytest.fixture
def source(site, room, machine, lead) -> Source:
    """The place on Wren that one cylinder at a time goes on."""
    facts = SourceFacts(name="Wren", kind="cylinder", gas="oxygen", room=room)
    return source_add(site=site, facts=facts, by=lead, machines=[machine])


@pytest.fixture
def alder(receive, source, operator) -> Cylinder:
    """A cylinder on Wren since yesterday."""
    made = receive("Alder")
    return cylinder_connect(
        cylinder=made, source=source, by=operator, at=timezone.now() - timedelta(days=1)
    )


@pytest.fixture
def hazel(receive) -> Cylinder:
    """A full cylinder in the store."""
    return receive("Hazel")


@pytest.fixture
def nitrous(receive) -> Cylinder:
    """A cylinder of nitrous oxide, to be weighed."""
    return receive(
        "Larch", gas="nitrous oxide", tare_kg=6.0, fill_gauge_kpa=None, test_pressure_kpa=250 * BAR
    )


@pytest.fixture
def read(operator) -> Callable[..., Reading]:
    """Save a reading in bar, some hours ago."""

    def make(cylinder: Cylinder, bar: float, hours_ago: float = 0.0, **more: Any) -> Reading:
        at: datetime = timezone.now() - timedelta(hours=hours_ago)
        seen = Seen(typed=f"{bar:g} bar", at=at, gauge_kpa=bar * BAR, **more)
        return reading_save(cylinder=cylinder, seen=seen, by=operator)

    return make


@pytest.fixture
def done() -> Callable[..., Any]:
    """Run what a block queued, as it runs once the write is safe."""

    def run(capture: Any, do: Callable[[], Any]) -> Any:
        with capture(execute=True):
            return do()

    return run


@pytest.fixture
def clients(as_operator, as_viewer, as_stranger) -> dict[str, Client]:
    """A browser each for who may, who may only look, and who has no business here."""
    return {"operator": as_operator, "viewer": as_viewer, "stranger": as_stranger}

"""A machine with a source and a cylinder on it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.web.supply.models import Cylinder, CylinderState, Reading, Source


@pytest.fixture
def source(site, room, machine) -> Source:
    found = Source.objects.create(site=site, room=room, name="Alder on Wren", kind="cylinder")
    found.machines.add(machine)
    return found


@pytest.fixture
def cylinder(site, room, source) -> Cylinder:
    return Cylinder.objects.create(
        site=site,
        room=room,
        source=source,
        name="Alder",
        water_capacity_l=4.7,
        fill_gauge_kpa=13_700.0,
        state=CylinderState.IN_USE,
        material="steel",
        connected_at=timezone.now() - timedelta(days=2),
    )


@pytest.fixture
def reading(cylinder, operator) -> Reading:
    return Reading.objects.create(
        cylinder=cylinder,
        at=timezone.now() - timedelta(hours=1),
        gauge_kpa=7_100.0,
        typed="71 bar",
        by=operator,
    )

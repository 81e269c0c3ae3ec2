"""One small site in which every kind of thing stands once, so that each address leads there."""

from collections.abc import Iterator
from datetime import timedelta
from types import SimpleNamespace

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from tests.web.addresses.checks_doors import check_things
from tests.web.addresses.doors import DOORS
from tests.web.addresses.exposure_doors import exposure_things
from tests.web.addresses.life_doors import life_things
from tests.web.addresses.records_doors import archive_things
from tests.web.addresses.running_doors import running_things
from tests.web.addresses.service_doors import service_things
from tests.web.addresses.stock_doors import stock_things
from tests.web.addresses.tablet_doors import tablet_things
from ullage.web.accounts.models import User
from ullage.web.days.models import PlannedCase
from ullage.web.machines.models import Machine, Part
from ullage.web.sites.models import Membership, Role, Room, Site
from ullage.web.supply.models import Cylinder, CylinderChange, Reading, Source

PHASES = [
    {"name": "Preparation", "minutes": 20.0, "oxygen_l_min": 1.7},
    {"name": "Procedure", "minutes": 75.0, "oxygen_l_min": 1.7},
]


@pytest.fixture
def made(site, room, machine, operator) -> SimpleNamespace:
    """The things that addresses are about."""
    return _furnished(machine, operator)


@pytest.fixture(scope="module")
def seen(django_db_setup, django_db_blocker) -> Iterator[dict[str, HttpResponse]]:
    """What a lead gets at every address that is looked at, fetched once."""
    with django_db_blocker.unblock(), transaction.atomic():
        site = Site.objects.create(name="Fennel Lane", elevation_m=60.0)
        room = Room.objects.create(site=site, name="Theatre 1", volume_m3=60.0)
        machine = Machine.objects.create(site=site, room=room, name="Wren", system="T-piece")
        lead = User.objects.create_user(username="lena", full_name="Lena Leads")
        Membership.objects.create(user=lead, site=site, role=Role.LEAD)
        client, made = Client(), _furnished(machine, lead)
        client.force_login(lead)
        yield {one.name: client.get(one.url(made)) for one in DOORS if one.get is not None}
        transaction.set_rollback(True)


def _furnished(machine: Machine, by: User) -> SimpleNamespace:
    site, room = machine.site, machine.room
    source = Source.objects.create(site=site, room=room, name="On Wren", kind="cylinder")
    source.machines.add(machine)
    manifold = Source.objects.create(site=site, name="Manifold", kind="manifold", duty_bank="A")
    on = _cylinder(site, "Alder", source=source, state="in_use", room=room)
    life = life_things(machine, by)
    return SimpleNamespace(
        site=site,
        room=room,
        machine=machine,
        part=Part.objects.create(site=site, machine=machine, kind="hose", name="Oxygen hose"),
        source=source,
        manifold=manifold,
        on=on,
        stored=_cylinder(site, "Hazel"),
        reading=_readings(on, by),
        change=_change(source, on, by),
        case=_case(site, machine),
        **check_things(machine, by),
        person=_person(site),
        **service_things(machine, by),
        **exposure_things(room, by),
        **stock_things(machine, by),
        **running_things(machine, by),
        **life,
        **archive_things(life["closed"], machine, by),
        **tablet_things(machine, by),
    )


def _readings(cylinder: Cylinder, by: User) -> Reading:
    """One that stands, and a later one that waits for a word."""
    ago, known = timezone.now() - timedelta(minutes=90), {"cylinder": cylinder, "by": by}
    Reading.objects.create(at=ago, gauge_kpa=7200.0, typed="72 bar", **known)
    return Reading.objects.create(
        cylinder=cylinder,
        at=timezone.now() - timedelta(minutes=40),
        gauge_kpa=7100.0,
        typed="71 bar",
        asked="Is that so?",
        by=by,
    )


def _cylinder(site: Site, name: str, **more: object) -> Cylinder:
    known = {"size": "E (UK/ISO)", "water_capacity_l": 4.7, "fill_gauge_kpa": 13_700.0}
    known |= {"test_pressure_kpa": 20_700.0, "connected_at": timezone.now() - timedelta(days=1)}
    return Cylinder.objects.create(site=site, name=name, **{**known, **more})


def _change(source: Source, old: Cylinder, by: User) -> CylinderChange:
    return CylinderChange.objects.create(
        source=source, old=old, step="animal", started_at=timezone.now(), started_by=by
    )


def _case(site: Site, machine: Machine) -> PlannedCase:
    return PlannedCase.objects.create(
        site=site,
        machine=machine,
        name="Clover",
        species="rabbit",
        weight_kg=3.4,
        starts_at=timezone.now() + timedelta(hours=1),
        minutes=95.0,
        phases=PHASES,
    )


def _person(site: Site) -> User:
    user = User.objects.create_user(username="pim", password="x" * 12, full_name="Pim Other")
    Membership.objects.create(user=user, site=site, role=Role.VIEWER)
    return user


@pytest.fixture
def as_role(as_viewer, as_operator, as_lead):
    """A browser of the smallest role that may do something, and of the next smaller one."""
    return {
        "look": (as_viewer, None),
        "operate": (as_operator, as_viewer),
        "manage": (as_lead, as_operator),
        "oversee": (as_lead, as_operator),
    }

"""A vaporizer on a machine and one in store, and what is said about them."""

from datetime import date, timedelta

import pytest

from ullage.web.machines.models import Part
from ullage.web.service.models import ServiceEvent
from ullage.web.service.selectors import site_today
from ullage.web.service.services import EventSaid


@pytest.fixture
def today(site) -> date:
    return site_today(site)


@pytest.fixture
def vaporizer(site, machine) -> Part:
    """For isoflurane, on Wren; nobody has said when it was bought."""
    facts = {"agent": "isoflurane", "flow_lowest_l_min": 0.3, "flow_highest_l_min": 12.0}
    return Part.objects.create(
        site=site, machine=machine, kind="vaporizer", name="Iso on Wren", serial="A-17", facts=facts
    )


@pytest.fixture
def hose(site, machine, today) -> Part:
    gone = (today - timedelta(days=3)).isoformat()
    facts = {"gas": "oxygen", "replace_by": gone}
    return Part.objects.create(site=site, machine=machine, kind="hose", name="Hose", facts=facts)


@pytest.fixture
def other_part(other_site) -> Part:
    """A vaporizer of a site where people of the first one have no business."""
    facts = {"agent": "sevoflurane"}
    return Part.objects.create(site=other_site, kind="vaporizer", name="Theirs", facts=facts)


@pytest.fixture
def said(today):
    """What a person says, in order but for what a test changes."""

    def make(kind="service", ago=0, **more) -> EventSaid:
        known = {"done_on": today - timedelta(days=ago), "done_by": "Marsh Instruments"}
        return EventSaid(kind=kind, **{**known, **more})

    return make


@pytest.fixture
def readings():
    """The facts of an output test at one dial setting."""

    def make(dial=0.02, measured=0.02, **more) -> dict:
        known = {"temperature_k": 293.15, "barometric_kpa": 101.325, "fresh_gas_l_min": 2.0}
        known["agent"] = "isoflurane"
        return {**known, "carrier": "oxygen", "points": [[dial, measured]], **more}

    return make


@pytest.fixture
def done(site, operator, today):
    """Something that stands in the record already."""

    def make(thing, kind, ago, **more) -> ServiceEvent:
        field = "part" if isinstance(thing, Part) else "machine"
        return ServiceEvent.objects.create(
            site=thing.site,
            **{field: thing},
            kind=kind,
            done_on=today - timedelta(days=ago),
            done_by="Marsh Instruments",
            by=operator,
            **more,
        )

    return make

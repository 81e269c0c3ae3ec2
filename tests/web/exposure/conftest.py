"""A room with a rat that begins in a chamber, planned for today."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from ullage.web.days.models import PlannedCase
from ullage.web.days.selectors import today_at

PHASES = [
    {"name": "Induction", "minutes": 6.0, "oxygen_l_min": 2.0},
    {"name": "Procedure", "minutes": 60.0, "oxygen_l_min": 1.0},
    {"name": "Waking", "minutes": 5.0, "oxygen_l_min": 1.0},
]


@pytest.fixture
def today(site) -> date:
    return today_at(site)


@pytest.fixture
def at(site, today):
    """A time of today on the clock of the site."""

    def make(hour: int, minute: int = 0) -> datetime:
        return datetime.combine(today, time(hour, minute), ZoneInfo(site.time_zone))

    return make


@pytest.fixture
def plan(site, machine, at):
    """Plan a case of a rat; what is different is said."""

    def make(**changes) -> PlannedCase:
        known = {
            "site": site,
            "machine": machine,
            "name": "C-31",
            "species": "rat",
            "weight_kg": 0.3,
            "system": "nose cone",
            "starts_at": at(9),
            "minutes": 71.0,
            "phases": PHASES,
            "extras": {"chamber_l": 4.0},
            "agent": "isoflurane",
            "drugs": [],
            "target_mac": 1.2,
        }
        return PlannedCase.objects.create(**{**known, **changes})

    return make

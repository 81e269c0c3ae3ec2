"""What tests of cases start from: an open record, and entries as a person would send them."""

from collections.abc import Callable
from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from ullage.answers.record.things import EntryKind, EntryText, Times
from ullage.web.accounts.models import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.services import Opening, Sent, record_open, state_write, typed_reading


@pytest.fixture
def record(site, machine, operator) -> Record:
    """A record of a cat that has just begun."""
    opening = Opening(
        machine=machine, name="Clover", species="cat", facts={"weight": "4.1 kg", "sex": "female"}
    )
    opened = record_open(site=site, opening=opening, by=operator)
    return state_write(record=opened, to=CaseState.RUNNING, by=operator)


@pytest.fixture
def entry(operator) -> Callable[..., Sent]:
    """Make one entry of a variable as it was typed, seen just now unless said otherwise."""

    def make(
        what: str = "heart_rate",
        typed: str = "120",
        *,
        kind: EntryKind = EntryKind.VITAL,
        code: str = "",
        user: User | None = None,
        ago_min: float = 0.0,
        written: datetime | None = None,
    ) -> Sent:
        read = typed_reading(what, typed)
        at = written or timezone.now()
        times = Times(observed=at - timedelta(minutes=ago_min), written=at, received=at)
        line = EntryText(
            id=code or str(uuid4()), record="", order=1, author="", times=times, kind=kind,
            what=what, typed=typed, number=read.number, unit=read.unit,
        )  # fmt: skip
        return Sent(line=line, user=user or operator)

    return make

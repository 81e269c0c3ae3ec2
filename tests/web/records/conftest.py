"""What tests of records start from: a sheep with a whole life, closed and signed."""

from collections.abc import Callable
from dataclasses import replace
from uuid import uuid4

import pytest
from django.utils import timezone

from tests.web.records.world import sheep_case
from ullage.answers.record.things import CaseOpened, Meaning
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.services import Opening, ToldLine, record_sign, record_write, state_write
from ullage.web.cases.services.entries import event, write_seen
from ullage.web.records.services import papers_keep


@pytest.fixture
def told(site, machine, operator) -> Callable[..., Record]:
    """Write a record of so many entries and bring it to its end."""

    def make(name: str = "Tansy", entries: int = 120, *, closed: bool = True) -> Record:
        lines = sheep_case(entries)
        facts = {"name": name, "species": "sheep", "group": "no", **lines[0].facts}
        first = replace(lines[0], id="", facts=facts)
        ids = {one.id: str(uuid4()) for one in lines}
        rest = []
        for one in lines[1:]:
            if isinstance(one, CaseOpened) or type(one).__name__ == "SignatureText":
                continue
            more = {"of": ids[one.of]} if type(one).__name__ == "Amendment" else {}
            rest.append(replace(one, id=ids[one.id], **more))
        opening = Opening(machine=machine, name=name, species="sheep")
        record = record_write(
            site=site,
            opening=opening,
            told=[ToldLine(line=one, by=operator) for one in (first, *rest)],
        )
        if closed:
            record = state_write(record=record, to=CaseState.CLOSED, by=operator)
        return record

    return make


@pytest.fixture
def record(told) -> Record:
    """A sheep, running as far as its record says."""
    return told(closed=False)


@pytest.fixture
def closed(told, operator) -> Record:
    """The same, closed and signed, its papers kept."""
    record = told()
    record_sign(record=record, by=operator, meaning=Meaning.AUTHOR)
    papers_keep(record=record)
    record.refresh_from_db()
    return record


@pytest.fixture
def entry_now(operator) -> Callable[[Record], None]:
    """Add one entry to a record, seen just now."""

    def add(record: Record) -> None:
        seen = [event("adverse event", timezone.now(), typed="it coughs")]
        write_seen(record=record, seen=seen, by=operator)

    return add

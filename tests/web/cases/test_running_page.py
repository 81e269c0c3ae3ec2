"""The page of a running case: what it shows, and what its plain forms take."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.answers.record.things import EntryKind
from ullage.web.cases.services import lines_take


@pytest.fixture
def running(record, entry, operator):
    """A case with gas for an hour, a few observations and an event."""

    def make(**more):
        sent = [
            entry("agent", "isoflurane", kind=EntryKind.SETTING, ago_min=60),
            entry("dial", "2 %", kind=EntryKind.SETTING, ago_min=60),
            entry("flow_oxygen", "1 L/min", kind=EntryKind.SETTING, ago_min=60),
            entry("heart_rate", "118", ago_min=50),
            entry("heart_rate", "112", ago_min=40),
            entry("end_tidal_isoflurane", "1.6 %", kind=EntryKind.GAS, ago_min=30),
        ]
        lines_take(record=record, sent=sent, by=operator)
        record.refresh_from_db()
        return record

    return make()


def address(record, part=""):
    return f"/cases/{record.code}/{part}"


def test_the_page_shows_who_it_is_and_what_was_seen_last(running, as_operator):
    page = as_operator.get(address(running))

    text = page.content.decode()
    assert page.status_code == 200
    assert "Clover" in text
    assert "last 112" in text
    assert page["Ullage-Keep"] == "yes"


def test_nothing_is_filled_in_as_observed(running, as_operator):
    text = as_operator.get(address(running)).content.decode()

    assert 'value="112"' not in text
    assert 'data-last="112"' in text

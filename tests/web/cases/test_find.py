"""Records are found by words, species, day, state and person; never those of another site."""

from datetime import UTC, date, datetime
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.web.cases.forms.find import FindForm
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors import Looked
from ullage.web.cases.selectors.find import records_found
from ullage.web.cases.services import Opening, lines_take, record_open, state_write
from ullage.web.cases.services.entries import event, write_seen
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Room

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def several(site, machine, operator, record):
    """Clover the cat, Vetch the sheep of protocol S-24, and Zoë the rabbit, closed."""
    rows = [
        Opening(machine=machine, name="Vetch", species="sheep", facts={"protocol": "S-24"}),
        Opening(
            machine=machine, name="Zoë 🐇", species="rabbit", facts={"procedure": "bone plate"}
        ),
    ]
    opened = [record_open(site=site, opening=one, by=operator) for one in rows]
    state_write(record=opened[1], to=CaseState.CLOSED, by=operator)
    return {one.name: one for one in (record, *opened)}


def names(site, **looked):
    return sorted(one.name for one in records_found(site, Looked(**looked)))


@pytest.mark.parametrize(
    ("looked", "found"),
    [
        ({}, ["Clover", "Vetch", "Zoë 🐇"]),
        ({"words": "vet"}, ["Vetch"]),
        ({"words": "S-24"}, ["Vetch"]),
        ({"words": "bone"}, ["Zoë 🐇"]),
        ({"words": "🐇"}, ["Zoë 🐇"]),
        ({"words": "00002"}, ["Vetch"]),
        ({"words": "%"}, []),
        ({"words": "V__ch"}, []),  # no pattern
        ({"words": "' OR 1=1 --"}, []),
        ({"species": " SHEEP "}, ["Vetch"]),
        ({"species": "sheep", "state": "closed"}, []),
        ({"state": "closed"}, ["Zoë 🐇"]),
        ({"state": "ready"}, ["Vetch"]),
        ({"words": "nothing like it"}, []),
    ],
)
def test_what_answers_to_all_that_is_asked_is_found(site, several, looked, found):
    assert names(site, **looked) == found


def test_the_latest_stands_first(site, several):
    assert records_found(site, Looked()).first().name == "Zoë 🐇"


def test_another_site_finds_none_of_them(other_site, several):
    assert names(other_site) == names(other_site, words="Vetch") == []


def test_who_wrote_a_line_is_found_by_it_and_who_only_looked_is_not(
    site, several, lead, operator, entry
):
    lines_take(record=several["Vetch"], sent=[entry(user=lead)], by=lead)

    assert names(site, person=lead.pk) == ["Vetch"]
    assert names(site, person=operator.pk) == ["Clover", "Vetch", "Zoë 🐇"]


def test_a_reading_is_not_what_a_record_is_of(site, several, operator):
    noted = event("moved", timezone.now(), typed="bone plate")
    write_seen(record=several["Vetch"], seen=[noted], by=operator)

    assert names(site, words="bone plate") == ["Zoë 🐇"]


@pytest.mark.parametrize(
    ("opened_at", "day"),
    [
        # London is at UTC+1 until 25 October 2026, 02:00 there; that day has 25 hours
        (datetime(2026, 10, 24, 22, 59, 59, tzinfo=UTC), 24),
        (datetime(2026, 10, 24, 23, 0, tzinfo=UTC), 25),
        (datetime(2026, 10, 25, 23, 59, 59, tzinfo=UTC), 25),
        (datetime(2026, 10, 26, 0, 0, tzinfo=UTC), 26),
    ],
)
def test_a_day_is_that_of_the_site_also_when_it_is_an_hour_longer(site, record, opened_at, day):
    site.time_zone = "Europe/London"
    Record.objects.filter(pk=record.pk).update(opened_at=opened_at)

    found = [
        one
        for one in (24, 25, 26)
        if names(site, from_day=date(2026, 10, one), to_day=date(2026, 10, one))
    ]
    assert found == [day]


def test_a_machine_of_another_site_does_not_bring_its_record_here(site, other_site, stranger):
    room = Room.objects.create(site=other_site, name="Shed")
    machine = Machine.objects.create(site=other_site, room=room, name="Kite", system="T-piece")
    opening = Opening(machine=machine, name="Vetch", species="sheep", code=str(uuid4()))
    record_open(site=other_site, opening=opening, by=stranger)

    assert names(site) == []
    assert names(other_site) == ["Vetch"]


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"from_day": "2026-06-02", "to_day": "2026-06-01"}, "to_day", "lies before the first"),
        ({"from_day": "0001-01-01"}, "from_day", "is no day of this work"),
        ({"to_day": "9999-12-31"}, "to_day", "is no day of this work"),
        ({"state": "lost"}, "state", "lost"),
        ({"person": "1e9"}, "person", "1e9"),
        ({"words": "a" * 101}, "words", "100"),
        ({"words": "\x00"}, "words", "ull characters"),
    ],
)
def test_what_cannot_be_looked_for_is_said_beside_its_field(site, operator, typed, field, says):
    form = FindForm(typed, site=site)

    assert not form.is_valid()
    assert says in " ".join(form.errors[field])


def test_who_works_elsewhere_cannot_be_asked_for(site, operator, stranger):
    assert FindForm({"person": str(operator.pk)}, site=site).is_valid()
    assert not FindForm({"person": str(stranger.pk)}, site=site).is_valid()


def test_a_form_of_blanks_asks_nothing(site):
    form = FindForm({"words": "  ", "species": " "}, site=site)

    assert form.is_valid()
    assert form.wanted().is_nothing


def test_the_page_shows_what_was_found_and_no_more(as_viewer, as_stranger, several):
    page = as_viewer.get(reverse("cases:all"), {"words": "S-24"}).content.decode()
    away = as_stranger.get(reverse("cases:all"), {"words": "S-24"}).content.decode()

    assert "Vetch" in page
    assert "Clover" not in page
    assert "Vetch" not in away

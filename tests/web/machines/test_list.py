"""The list of machines."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from ullage.web.machines.models import Machine, Part
from ullage.web.machines.services import parts_write
from ullage.web.supply.models import Source

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def listed():
    return reverse("machines:list")


def test_a_site_without_machines_says_how_to_begin(as_lead, as_viewer, listed):
    assert "No machines yet" in as_lead.get(listed).content.decode()
    assert "A lead can add one." in as_viewer.get(listed).content.decode()


def test_each_machine_stands_with_its_room_and_what_feeds_it(as_viewer, source, listed):
    shown = as_viewer.get(listed).content.decode()

    assert "Wren" in shown
    assert "Theatre 1" in shown
    assert "Alder on Wren" in shown


def test_a_machine_out_of_use_says_so_and_why(as_viewer, machine, listed):
    Machine.objects.update(state="out_of_use", state_reason="Leak test failed.")

    shown = as_viewer.get(listed).content.decode()

    assert "Out of use" in shown
    assert "Leak test failed." in shown


def test_machines_of_another_site_are_not_listed(as_stranger, machine, listed):
    assert "Wren" not in as_stranger.get(listed).content.decode()


def test_the_list_is_only_read(as_lead, listed):
    assert as_lead.post(listed).status_code == 405


def asked(client, listed):
    with CaptureQueriesContext(connection) as counted:
        client.get(listed)
    return len(counted)


def test_many_machines_cost_no_more_queries(as_viewer, site, room, lead, listed):
    def more(numbers):
        for number in numbers:
            one = Machine.objects.create(site=site, room=room, name=f"M{number}")
            feeding = Source.objects.create(site=site, name=f"S{number}", kind="pipeline")
            feeding.machines.add(one)
            bag = Part(site=site, machine=one, kind="bag", name="Bag", state="out_of_use")
            parts_write(parts=[bag], by=lead, at=timezone.now())

    more(range(2))
    few = asked(as_viewer, listed)
    more(range(2, 14))

    assert asked(as_viewer, listed) == few

"""Labels of machines and parts: the printed code leads to the page of the thing."""

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.web.supply.test_labels import seen_on, words_on
from ullage.web.machines.models import Part
from ullage.web.machines.services import parts_write

pytestmark = pytest.mark.web


@pytest.fixture
def valve(site, machine):
    return Part.objects.create(site=site, machine=machine, kind="relief_valve", name="Black valve")


def sheet(client, *things):
    return client.get(reverse("machines:labels_pdf"), {"c": [str(one.code) for one in things]})


def test_the_printed_codes_lead_to_the_machine_and_to_the_part(as_operator, machine, valve):
    pdf = sheet(as_operator, machine, valve).content

    assert seen_on(pdf) == {
        f"http://testserver/machines/{machine.code}/",
        f"http://testserver/p/{valve.code}/",
    }
    words = words_on(pdf)
    for said in ("Wren", "T-piece", "Theatre 1", "Black valve", "Relief valve"):
        assert said in words


def test_things_of_another_site_get_no_label(as_stranger, machine, valve):
    reply = sheet(as_stranger, machine, valve)

    assert (reply.status_code, reply.url) == (302, reverse("machines:labels"))


def test_the_choice_marks_what_was_asked_for(as_operator, machine, valve):
    shown = as_operator.get(reverse("machines:labels"), {"c": str(valve.code)}).content.decode()

    assert f'value="{valve.code}" checked' in shown
    assert f'value="{machine.code}" checked' not in shown


def test_an_empty_site_says_what_to_do_first(as_operator):
    assert "Add one first" in as_operator.get(reverse("machines:labels")).content.decode()


def test_of_very_many_parts_the_one_asked_for_is_offered_and_the_rest_counted(
    as_operator, site, machine, lead
):
    made = [Part(site=site, machine=machine, kind="hose", name=f"Hose {n}") for n in range(230)]
    parts_write(parts=made, by=lead, at=timezone.now())
    last = made[-1]
    shown = as_operator.get(reverse("machines:labels"), {"c": str(last.code)}).content.decode()

    assert f'value="{last.code}" checked' in shown
    assert "29 more are not shown" in shown

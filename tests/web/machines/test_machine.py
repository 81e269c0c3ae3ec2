"""The page of one machine, and taking it out of use."""

import pytest
from django.http import Http404
from django.urls import reverse

from ullage.web.machines.models import Machine, StateChange
from ullage.web.machines.selectors import machine_anywhere
from ullage.web.sites.models import Membership

pytestmark = [pytest.mark.web, pytest.mark.django_db]

OUT = {"to": "out_of_use", "reason": "Leak test failed 08:55.", "lift": "lead"}


@pytest.fixture
def page(machine):
    return reverse("machines:machine", args=[machine.code])


@pytest.fixture
def out(machine):
    return reverse("machines:out", args=[machine.code])


def test_a_machine_without_a_source_says_what_one_is(as_viewer, page):
    assert "No source feeds Wren yet" in as_viewer.get(page).content.decode()


def test_a_machine_shows_its_chain_and_what_is_still_open(as_viewer, source, reading, page):
    shown = as_viewer.get(page).content.decode()

    assert "May Alder on Wren be used for Wren?" in shown
    assert "What holds the cylinder: machine, chain, stand, or nothing?" in shown
    assert "Not yet" in shown


def test_a_machine_leads_to_its_checks_service_stock_and_waste_gas(as_viewer, machine, room, page):
    Machine.objects.update(room=room)
    shown = as_viewer.get(page).content.decode()

    for name, args in (
        ("checks:machine", [machine.code]),
        ("service:machine", [machine.code]),
        ("stock:fitted_list", []),
        ("exposure:room", [room.pk]),
    ):
        there = reverse(name, args=args)
        assert f'href="{there}"' in shown
        assert as_viewer.get(there).status_code == 200


def test_a_source_that_is_no_longer_there_feeds_nothing(as_viewer, source, page):
    from django.utils import timezone

    source.retired_at = timezone.now()
    source.save()

    assert "No source feeds Wren yet" in as_viewer.get(page).content.decode()


def test_a_stranger_finds_nothing(as_stranger, page, out):
    assert as_stranger.get(page).status_code == 404
    assert as_stranger.post(out, {"reason": "no"}).status_code == 404


def test_the_selector_itself_finds_nothing_for_a_stranger(stranger, machine):
    with pytest.raises(Http404, match=r"^$"):
        machine_anywhere(stranger, machine.code)


def test_a_person_of_both_sites_goes_over_with_the_address(
    client_of, stranger, site, machine, page
):
    Membership.objects.create(user=stranger, site=site, role="viewer")
    client = client_of(stranger)

    shown = client.get(page).content.decode()

    assert "pressure in bar" in shown
    assert "Fennel Lane" in client.get(reverse("sites:settings")).content.decode()


def test_an_operator_who_finds_it_broken_takes_it_out_of_use(as_operator, operator, page, out):
    response = as_operator.post(out, OUT)

    shown = as_operator.get(page).content.decode()
    assert response["Location"] == page
    assert "Wren is out of use" in shown
    assert "Leak test failed 08:55." in shown
    assert StateChange.objects.get().by == operator


def test_a_reason_is_needed(as_operator, machine, out):
    response = as_operator.post(out, {**OUT, "reason": " "})

    assert response.status_code == 422
    assert Machine.objects.get().out_of_use == ""


def test_a_viewer_takes_nothing_out_of_use(as_viewer, machine, out):
    response = as_viewer.post(out, {"reason": "no"})

    assert response.status_code == 403
    assert "An operator, a lead or a veterinarian can." in response.content.decode()


def test_a_lead_brings_it_back_and_the_log_keeps_why_it_was_out(as_lead, machine, page):
    Machine.objects.update(state="out_of_use", state_reason="Leak test failed.")

    as_lead.post(reverse("machines:back", args=[machine.code]))

    machine.refresh_from_db()
    assert machine.out_of_use == ""
    assert "<del>Leak test failed.</del>" in as_lead.get(page).content.decode()


def test_an_operator_does_not_bring_it_back(as_operator, machine):
    Machine.objects.update(state="out_of_use", state_reason="Leak test failed.")

    assert as_operator.post(reverse("machines:back", args=[machine.code])).status_code == 403
    assert Machine.objects.get().out_of_use


def test_coming_back_is_only_posted(as_lead, machine):
    assert as_lead.get(reverse("machines:back", args=[machine.code])).status_code == 405

"""Adding a machine and changing its facts."""

import pytest
from django.urls import reverse

from ullage.web.machines.models import Machine, MachineChange

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TYPED = {
    "name": "Heron",
    "room": "",
    "system": "circle",
    "usual_flow_l_min": "500 mL/min",
    "oxygen_alarm": "yes",
    "ventilator": "oxygen",
    "drive_gas_factor": "0.4",
    "sampling_l_min": "",
    "flowmeter_min_l_min": "0.1",
    "flowmeter_max_l_min": "10",
    "float_kind": "bobbin",
    "flow_sd_share": "10",
    "regulator": "preset",
}


@pytest.fixture
def add():
    return reverse("machines:add")


@pytest.fixture
def edit(machine):
    return reverse("machines:edit", args=[machine.code])


def test_a_lead_adds_a_machine_in_the_units_at_hand(as_lead, site, room, add):
    response = as_lead.post(add, TYPED | {"room": str(room.pk)})

    kept = Machine.objects.get(site=site)
    assert response["Location"] == reverse("machines:machine", args=[kept.code])
    assert (kept.name, kept.room, kept.usual_flow_l_min) == ("Heron", room, 0.5)
    assert (kept.flow_sd_share, kept.ventilator) == (0.1, "oxygen")


def test_little_is_needed_to_begin(as_lead, add):
    as_lead.post(add, {"name": "Wren", "oxygen_alarm": "unknown", "ventilator": "none"})

    assert Machine.objects.get().oxygen_alarm == "unknown"


def test_what_is_stored_stands_in_the_form(as_lead, machine, edit):
    Machine.objects.update(usual_flow_l_min=1.7, flow_sd_share=0.1)

    shown = as_lead.get(edit).content.decode()

    assert 'value="1.7"' in shown
    assert 'value="10"' in shown


def test_a_change_is_kept_with_who_and_what_it_was(as_lead, lead, machine, edit, room):
    as_lead.post(edit, TYPED | {"name": "Wren", "room": str(room.pk)})

    kept = MachineChange.objects.get(machine=machine)
    shown = as_lead.get(reverse("machines:machine", args=[machine.code])).content.decode()
    assert kept.by == lead
    assert kept.before["system"] == "T-piece"
    assert "<del>T-piece</del> <b>circle</b>" in shown
    assert "Usual fresh gas flow: <del>not set</del> <b>0.5 L/min</b>" in shown


def test_a_room_left_stands_in_the_log_by_its_name(as_lead, machine, edit):
    as_lead.post(edit, TYPED | {"name": "Wren"})

    assert MachineChange.objects.get().before["room"] == "Theatre 1"


@pytest.mark.parametrize("name", ["Wren", "WREN"])
def test_a_name_stands_once_at_a_site(as_lead, machine, add, name):
    response = as_lead.post(add, TYPED | {"name": name})

    assert response.status_code == 422
    assert "already; give this one another name." in response.content.decode()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "This field is required"),
        ({"usual_flow_l_min": "2 psi"}, "is not a unit of flow"),
        ({"usual_flow_l_min": "-1"}, "must be between 0.01 and 200 L/min"),
        ({"flowmeter_min_l_min": "12"}, "must lie above the lowest one"),
        ({"ventilator": "none"}, "No gas drives this ventilator"),
        ({"drive_gas_factor": "40"}, "must be between 0 and 10"),
        ({"flow_sd_share": "0"}, "must be between 0.5 and 100 %"),
        ({"room": "999999"}, "999999 is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_refused_and_kept_as_typed(as_lead, add, changes, sentence):
    response = as_lead.post(add, TYPED | changes)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert 'value="circle"' in response.content.decode()
    assert not Machine.objects.exists()


def test_a_room_of_another_site_cannot_be_chosen(as_stranger, room, add):
    response = as_stranger.post(add, TYPED | {"room": str(room.pk)})

    assert response.status_code == 422


def test_a_stranger_finds_nothing(as_stranger, machine, edit):
    assert as_stranger.get(edit).status_code == 404
    assert as_stranger.post(edit, TYPED).status_code == 404


@pytest.mark.parametrize("who", ["as_viewer", "as_operator"])
def test_too_small_a_role_changes_nothing(request, machine, edit, add, who):
    client = request.getfixturevalue(who)

    assert client.post(edit, TYPED).status_code == 403
    assert client.post(add, TYPED).status_code == 403
    assert Machine.objects.get().system == "T-piece"


def test_another_method_is_refused(as_lead, edit):
    assert as_lead.delete(edit).status_code == 405

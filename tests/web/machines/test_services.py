"""Machines as they are written: names once, changes kept, nothing done that two would undo."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.machines.models import ChainRecord, Machine, MachineChange, StateChange
from ullage.web.machines.selectors import (
    chain_records_of,
    machine_changes,
    machines_of,
    state_changes,
)
from ullage.web.machines.services import (
    chain_record_add,
    machine_add,
    machine_back,
    machine_change,
    machine_out,
)
from ullage.web.sites.models import Room

pytestmark = pytest.mark.web


@pytest.mark.parametrize("name", ["Wren", "wren", "WREN"])
def test_a_name_stands_once_at_a_site(machine, site, lead, name):
    with pytest.raises(RuleBroken, match="There is a machine"):
        machine_add(site=site, name=name)
    robin = machine_add(site=site, name="Robin")
    with pytest.raises(RuleBroken, match="There is a machine"):
        machine_change(machine=robin, by=lead, facts={"name": name})
    assert not MachineChange.objects.exists()


def test_another_site_may_have_a_machine_of_the_same_name(machine, other_site):
    assert machine_add(site=other_site, name="Wren").site == other_site


def test_machines_stand_in_the_order_in_which_they_came(machine, site):
    for name in ("Robin", "Dunnock"):
        machine_add(site=site, name=name)

    assert [one.name for one in machines_of(site)] == ["Wren", "Robin", "Dunnock"]


def test_only_what_changed_is_kept_with_what_it_was(machine, lead, site):
    barn = Room.objects.create(site=site, name="Barn")
    machine_change(
        machine=machine, by=lead, facts={"system": "T-piece", "room": barn, "oxygen_alarm": "yes"}
    )
    (change,) = machine_changes(machine)

    assert change.before == {"room": "Theatre 1", "oxygen_alarm": "unknown"}
    assert change.after == {"room": "Barn", "oxygen_alarm": "yes"}


def test_the_same_again_is_no_change(machine, lead):
    machine_change(machine=machine, by=lead, facts={"system": "T-piece"})

    assert not MachineChange.objects.exists()


def test_two_who_change_different_things_at_once_keep_both(machine, lead, operator):
    """A lead corrects the system while an operator takes the machine out of use."""
    theirs = Machine.objects.get(pk=machine.pk)
    machine_out(machine=theirs, by=operator, reason="The bobbin sticks.")
    machine_change(machine=machine, by=lead, facts={"system": "Circle"})
    now = Machine.objects.get(pk=machine.pk)

    assert (now.system, now.out_of_use) == ("Circle", "The bobbin sticks.")


def test_a_machine_comes_back_and_why_it_was_out_stays_readable(machine, operator, lead):
    machine_out(machine=machine, by=operator, reason="The bobbin sticks.")
    machine_back(machine=machine, by=lead)
    back, out = state_changes(machine)

    assert Machine.objects.get(pk=machine.pk).out_of_use == ""
    assert (out.after, out.reason, out.by) == ("out_of_use", "The bobbin sticks.", operator)
    assert (back.before_reason, back.by) == ("The bobbin sticks.", lead)


def test_bringing_back_one_that_was_never_out_writes_nothing(machine, lead):
    machine_back(machine=machine, by=lead)

    assert not StateChange.objects.exists()


def test_the_log_shows_the_last_changes_and_keeps_all(machine, lead):
    for number in range(14):
        machine_change(machine=machine, by=lead, facts={"system": f"Make {number}"})

    assert len(machine_changes(machine)) == 10
    assert machine_changes(machine)[0].after == {"system": "Make 13"}
    assert MachineChange.objects.count() == 14


@pytest.fixture
def look(machine, source, operator):
    def keep(found, at=None):
        return chain_record_add(
            machine=machine,
            by=operator,
            source_code=source.code,
            found=found,
            at=at or timezone.now(),
        )

    return keep


def test_each_look_is_a_record_of_its_own(look, machine):
    look({"seal": {"count": 1}})
    look({"seal": {"count": 2}})

    assert [one.found for one in chain_records_of(machine)] == [
        {"seal": {"count": 2}},
        {"seal": {"count": 1}},
    ]


@pytest.mark.parametrize("found", [{}, {"seal": {}}, {"seal": {}, "hose": {}}])
def test_nothing_looked_at_is_no_look(look, found):
    with pytest.raises(RuleBroken, match="answer at least one question"):
        look(found)
    assert not ChainRecord.objects.exists()


def test_a_time_that_has_not_come_is_no_look(look):
    with pytest.raises(RuleBroken, match="has not come yet"):
        look({"seal": {"count": 1}}, timezone.now() + timedelta(minutes=5))


def test_looks_at_one_chain_are_not_those_at_another(look, machine, source):
    look({"seal": {"count": 1}})

    assert chain_records_of(machine, uuid4()) == []
    assert len(chain_records_of(machine, source.code)) == 1

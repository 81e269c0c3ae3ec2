"""The machines of the practice world have their parts, and one truth about each of them."""

import pytest

from ullage.answers.equipment import PART_KINDS, facts_read
from ullage.web.demo.cast import FENNEL, SADDLE
from ullage.web.machines.carried import carried_by
from ullage.web.machines.models import Machine, Part
from ullage.web.machines.selectors import machine_parts, part_moves, parts_of

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def test_every_machine_has_what_gas_and_an_animal_need(world):
    for machine in Machine.objects.all():
        kinds = {one.kind for one in machine_parts(machine)}
        assert {"hose", "flowmeter", "vaporizer", "breathing_system", "scavenging"} <= kinds


def test_every_part_is_of_a_kind_and_holds_only_what_its_kind_asks(world):
    for part in Part.objects.all():
        assert part.kind in PART_KINDS
        assert facts_read(part.kind, part.facts) == part.facts


def test_parts_say_of_a_machine_what_the_cast_said(world):
    casts = {one.name: one for site in (FENNEL, SADDLE) for one in site.machines}
    for machine in Machine.objects.all():
        said = casts[machine.name].facts
        carried = carried_by(machine.parts.all())
        assert carried["flowmeter_max_l_min"] == said["flowmeter_max_l_min"]
        assert machine.ventilator == said["ventilator"]
        assert machine.flowmeter_min_l_min == said["flowmeter_min_l_min"]
        assert {field: getattr(machine, field) for field in carried} == carried


def test_two_vaporizers_are_years_old_and_the_others_are_not(world):
    today = world.local_now.date()
    ages = {
        (one.machine and one.machine.name, one.name): (today - one.bought_on).days
        for one in Part.objects.filter(kind="vaporizer").select_related("machine")
    }
    old = {("Heron", "Isoflurane"), ("Wren", "Isoflurane")}
    assert {key for key, days in ages.items() if days > 1095} == old


def test_spare_parts_lie_in_store_since_before_the_story(world):
    fennel = world.sites[0]
    spare = [one for one in parts_of(fennel) if one.machine is None]

    assert {one.kind for one in spare} == {"vaporizer", "hose"}
    assert all(part_moves(one)[0].at < world.now for one in spare)

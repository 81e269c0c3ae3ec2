"""One truth: whatever is done to parts, a machine says what the parts on it say."""

import random

import pytest

from ullage.answers.equipment import PART_KINDS
from ullage.web.machines.carried import CARRIED, carried_by, nothing_said
from ullage.web.machines.forms import MachineForm
from ullage.web.machines.models import Machine, Part
from ullage.web.machines.services import (
    PartFacts,
    part_add,
    part_change,
    part_move,
    part_restore,
    part_retire,
    state_set,
)

pytestmark = pytest.mark.web

#: Facts that parts of a kind may hold, one of which is drawn each time.
DRAWN = {
    "flowmeter": [
        {},
        {"gas": "oxygen", "lowest_l_min": 0.1, "highest_l_min": 4.0, "float_kind": "ball"},
        {"gas": "oxygen", "lowest_l_min": 1.0, "highest_l_min": 15.0, "float_kind": "bobbin"},
        {"gas": "oxygen", "sd_share": 0.03},
        {"gas": "air", "highest_l_min": 12.0},
    ],
    "ventilator": [{}, {"drive": "oxygen", "drive_gas_factor": 1.2}, {"drive": "electric"}],
    "regulator": [{}, {"works_by": "preset"}, {"gas": "air", "works_by": "adjustable"}],
    "alarm": [{}, {"watches": "oxygen supply"}, {"watches": "power"}],
}


def some_facts(dice, kind):
    return PartFacts(name="Part", facts=dice.choice(DRAWN[kind]))


def one_step(dice, site, machines, lead):
    """Something that people do to a part, drawn at random."""
    parts = list(Part.objects.filter(site=site).select_related("machine"))
    if not parts or dice.random() < 0.25:
        kind, machine = dice.choice(list(DRAWN)), dice.choice([*machines, None])
        part_add(site=site, kind=kind, said=some_facts(dice, kind), by=lead, machine=machine)
        return
    part, deed = dice.choice(parts), dice.randrange(5)
    if deed == 0 and part.retired_at is None:
        to = dice.choice([one for one in (*machines, None) if one != part.machine])
        part_move(part=part, to_machine=to, by=lead)
    elif deed == 1:
        part_change(part=part, said=some_facts(dice, part.kind), by=lead)
    elif deed == 2:
        to = dice.choice(["in_use", "in_doubt", "out_of_use"])
        state_set(thing=part, to=to, by=lead, reason="Drawn.")
    elif deed == 3:
        part_retire(part=part, by=lead, why="Drawn.")
    else:
        part_restore(part=part, by=lead)


@pytest.mark.parametrize("seed", range(6))
def test_after_anything_that_is_done_to_parts_their_machine_says_what_they_say(
    site, machine, lead, seed
):
    dice = random.Random(seed)
    robin = Machine.objects.create(site=site, name="Robin")
    for _ in range(40):
        one_step(dice, site, [machine, robin], lead)
        for one in Machine.objects.all():
            carried = carried_by(one.parts.all())
            wanted = {row.field: carried.get(row.field, nothing_said(row.field)) for row in CARRIED}
            assert {field: getattr(one, field) for field in wanted} == wanted


@pytest.mark.parametrize("row", CARRIED, ids=lambda row: row.field)
def test_what_is_carried_is_a_fact_of_its_kind_and_a_field_of_the_machine(row, site):
    kind = PART_KINDS[row.kind]

    assert kind.fact(row.fact)
    assert all(kind.fact(name) for name in row.where)
    assert row.field in MachineForm.base_fields
    assert hasattr(Machine(), row.field)

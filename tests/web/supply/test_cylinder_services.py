"""A cylinder's round: what follows from what, and that nothing is lost on the way."""

import pytest

from ullage.core.errors import RuleBroken
from ullage.web.supply.models import Cylinder, CylinderEvent, CylinderState
from ullage.web.supply.services import (
    CylinderFacts,
    cylinder_connect,
    cylinder_correct,
    cylinder_empty,
    cylinder_move,
    cylinder_quarantine,
    cylinder_release,
    cylinder_return,
    cylinder_take_off,
)

pytestmark = pytest.mark.web


def kinds(cylinder: Cylinder) -> list[str]:
    return [one.kind for one in CylinderEvent.objects.filter(cylinder=cylinder).order_by("pk")]


def test_a_cylinder_received_is_full_and_has_a_code_of_its_own(receive):
    one, other = receive("Alder"), receive("Hazel")

    assert one.state == CylinderState.FULL
    assert one.code != other.code
    assert kinds(one) == ["received"]


def test_two_cylinders_of_one_name_cannot_stand_at_one_site(receive, alder):
    with pytest.raises(RuleBroken, match="There is a alder here already"):
        receive("alder")


def test_the_name_of_one_handed_back_is_free_again(receive, hazel, operator):
    cylinder_return(cylinder=hazel, by=operator)

    assert receive("Hazel").pk != hazel.pk


def test_another_gas_is_never_connected(receive, source, operator):
    wrong = receive("Larch", gas="nitrous oxide")

    with pytest.raises(RuleBroken, match=r"Stop: Larch holds nitrous oxide, Wren feeds oxygen"):
        cylinder_connect(cylinder=wrong, source=source, by=operator)

    wrong.refresh_from_db()
    assert wrong.state == CylinderState.FULL


def test_a_place_that_is_taken_takes_no_second_cylinder(alder, hazel, source, operator):
    with pytest.raises(RuleBroken, match="Alder is on Wren; use Change cylinder"):
        cylinder_connect(cylinder=hazel, source=source, by=operator)


def test_a_cylinder_of_another_site_is_never_connected(other_site, receive, source, stranger):
    far = receive("Cedar", site=other_site, by=stranger)

    with pytest.raises(RuleBroken, match="Wren is not a source of this site"):
        cylinder_connect(cylinder=far, source=source, by=stranger)


def test_a_cylinder_taken_off_is_part_used_and_free(alder, operator):
    cylinder_take_off(cylinder=alder, by=operator)

    assert (alder.state, alder.source) == (CylinderState.PART_USED, None)
    assert kinds(alder) == ["received", "connected", "taken off"]


def test_an_empty_one_is_not_taken_off_twice(alder, operator):
    cylinder_take_off(cylinder=alder, by=operator, is_empty=True)

    with pytest.raises(RuleBroken, match="Alder is marked 'empty'"):
        cylinder_take_off(cylinder=alder, by=operator)


def test_a_stale_copy_does_not_overwrite_what_somebody_else_did(hazel, operator):
    stale = Cylinder.objects.get(pk=hazel.pk)
    cylinder_quarantine(cylinder=hazel, reason="The label is torn.", by=operator)

    with pytest.raises(RuleBroken, match="Hazel is marked 'set apart"):
        cylinder_empty(cylinder=stale, by=operator)


def test_setting_apart_takes_it_off_its_source_and_keeps_the_reason(alder, operator):
    cylinder_quarantine(cylinder=alder, reason="Hisses at the stem.", by=operator)

    said = CylinderEvent.objects.get(cylinder=alder, kind="set apart").details
    assert alder.source is None
    assert said == {"reason": "Hisses at the stem.", "source": "Wren"}


@pytest.mark.parametrize("do", [cylinder_quarantine, cylinder_release])
def test_no_reason_no_change(do, hazel, operator):
    with pytest.raises(RuleBroken, match="Say w"):
        do(cylinder=hazel, reason="  ", by=operator)


def test_what_was_tagged_by_mistake_can_be_taken_back(hazel, operator):
    cylinder_empty(cylinder=hazel, by=operator)
    cylinder_release(cylinder=hazel, reason="Wrong tag.", by=operator)

    assert hazel.state == CylinderState.PART_USED
    assert CylinderEvent.objects.get(kind="taken back").details["was"] == "Empty"


def test_a_cylinder_in_use_is_neither_moved_nor_handed_back(alder, room, operator):
    with pytest.raises(RuleBroken, match="Alder is on Wren; take it off before moving it"):
        cylinder_move(cylinder=alder, room=room, by=operator)
    with pytest.raises(RuleBroken, match="Alder is marked 'in use'"):
        cylinder_return(cylinder=alder, by=operator)


def test_a_correction_keeps_the_old_value_and_the_reason(hazel, operator):
    facts = CylinderFacts(name="Hazel", gas="oxygen", size="E", water_capacity_l=4.6)
    cylinder_correct(cylinder=hazel, facts=facts, reason="Stamp read again.", by=operator)

    kept = CylinderEvent.objects.get(cylinder=hazel, kind="corrected").details
    assert kept["was"]["water_capacity_l"] == 4.7
    assert kept["now"]["water_capacity_l"] == 4.6
    assert hazel.water_capacity_l == 4.6


def test_a_correction_needs_a_reason(hazel, operator):
    facts = CylinderFacts(name="Hazel", gas="oxygen", water_capacity_l=4.6)

    with pytest.raises(RuleBroken, match="the old value stays readable"):
        cylinder_correct(cylinder=hazel, facts=facts, reason="", by=operator)

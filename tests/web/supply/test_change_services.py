"""A change of cylinder goes in the safe order, step by step, and every step is kept."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.supply.models import CylinderChange, CylinderEvent
from ullage.web.supply.selectors import change_lines, open_watch
from ullage.web.supply.services import (
    FullOne,
    Seen,
    change_animal,
    change_back,
    change_begin,
    change_check,
    change_close_old,
    change_flows_off,
    change_give_up,
    change_open,
    change_reopen,
    change_seal,
    change_take,
    change_watch_begin,
    change_watch_end,
)

pytestmark = pytest.mark.web


def needle(bar: float, minutes_ago: float = 0.0) -> Seen:
    at = timezone.now() - timedelta(minutes=minutes_ago)
    return Seen(typed=f"{bar:g} bar", at=at, gauge_kpa=bar * 100)


def looked_at(cylinder, **more) -> FullOne:
    found = {"label_gas": "oxygen", "label_agrees": True, "size_agrees": True, "outlet_clean": True}
    return FullOne(cylinder=cylinder, **{**found, **more})


@pytest.fixture
def change(alder, source, operator):
    return change_begin(source=source, old=alder, by=operator)


def until(change, step, hazel, operator):
    """Go through the steps before one."""
    steps = {
        "animal": lambda: change_animal(change=change, how="no animal", by=operator),
        "flows": lambda: change_flows_off(change=change, by=operator),
        "check": lambda: change_check(change=change, found=looked_at(hazel), by=operator),
        "old": lambda: change_close_old(change=change, by=operator),
        "seal": lambda: change_seal(change=change, seal="new", by=operator),
        "open": lambda: change_open(change=change, seen=needle(137), by=operator),
    }
    for name, do in steps.items():
        if name == step:
            return
        do()


def test_a_change_from_first_to_last_step_swaps_the_cylinders(change, alder, hazel, operator):
    until(change, "watch", hazel, operator)
    change_watch_begin(change=change, seen=needle(137, minutes_ago=6), by=operator)
    assert change_watch_end(change=change, seen=needle(137), by=operator) == "Fine"
    change_reopen(change=change, by=operator)

    alder.refresh_from_db()
    hazel.refresh_from_db()
    assert (alder.state, alder.source) == ("part_used", None)
    assert (hazel.state, hazel.source) == ("in_use", change.source)
    assert change.finished_at is not None
    assert [line.state for line in change_lines(change)] == ["done"] * 8
    assert all(line.done.by == operator for line in change_lines(change))


def test_a_step_out_of_turn_is_refused(change, operator):
    with pytest.raises(RuleBroken, match="This step was done a moment ago"):
        change_flows_off(change=change, by=operator)


def test_a_step_done_twice_counts_once(change, operator):
    change_animal(change=change, how="no animal", by=operator)
    stale = CylinderChange.objects.get(pk=change.pk)
    change_flows_off(change=change, by=operator)

    with pytest.raises(RuleBroken, match="the page shows where the change is"):
        change_flows_off(change=stale, by=operator)
    assert CylinderEvent.objects.filter(kind="step flows").count() == 1


def test_a_change_that_was_left_is_taken_up_again(change, alder, source, operator):
    change_animal(change=change, how="no animal", by=operator)

    again = change_begin(source=source, old=alder, by=operator)

    assert (again.pk, again.step) == (change.pk, "flows")


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        ({"label_gas": "nitrous oxide"}, r"Stop: Wren needs oxygen; .* label says nitrous oxide"),
        ({"label_agrees": False}, r"Stop: label and colour of Hazel do not pass"),
        ({"size_agrees": False, "outlet_clean": False}, r"size and stamp and outlet and seal"),
    ],
)
def test_a_full_one_in_doubt_stops_the_change(found, sentence, change, hazel, operator):
    until(change, "check", hazel, operator)

    with pytest.raises(RuleBroken, match=sentence):
        change_check(change=change, found=looked_at(hazel, **found), by=operator)
    assert change.step == "check"


def test_a_cylinder_of_another_gas_does_not_pass_even_with_a_right_label(
    change, nitrous, hazel, operator
):
    until(change, "check", hazel, operator)

    with pytest.raises(RuleBroken, match="Larch is entered as nitrous oxide"):
        change_check(change=change, found=looked_at(nitrous), by=operator)
    with pytest.raises(RuleBroken, match="Stop: Larch holds nitrous oxide; Wren needs oxygen"):
        change_take(change=change, cylinder=nitrous, by=operator)


def test_the_old_one_is_not_taken_for_the_full_one(change, alder, hazel, operator):
    until(change, "check", hazel, operator)

    with pytest.raises(RuleBroken, match="Alder is the old one"):
        change_check(change=change, found=looked_at(alder), by=operator)


def test_an_old_seal_asks_for_a_reason(change, hazel, operator):
    until(change, "seal", hazel, operator)

    with pytest.raises(RuleBroken, match="Say why the old seal goes in again"):
        change_seal(change=change, seal="old", by=operator)
    change_seal(change=change, seal="old", reason="No new one in the drawer.", by=operator)

    assert CylinderEvent.objects.get(kind="step seal").details["seal"] == "old"


def test_nothing_is_fitted_before_the_seal_is_in(change, alder, hazel, operator):
    until(change, "seal", hazel, operator)

    alder.refresh_from_db()
    hazel.refresh_from_db()
    assert (alder.state, hazel.state) == ("in_use", "full")


def test_a_needle_that_falls_leads_back_to_the_seal(change, hazel, operator):
    until(change, "watch", hazel, operator)
    change_watch_begin(change=change, seen=needle(137, minutes_ago=5), by=operator)

    assert change_watch_end(change=change, seen=needle(120), by=operator) == "Stop"
    assert change.step == "seal"

    change_seal(change=change, seal="new", by=operator)
    assert change.step == "open"
    assert CylinderEvent.objects.filter(kind="connected", cylinder=hazel).count() == 1


def test_a_needle_read_too_early_is_kept_and_the_watch_runs_on(change, hazel, operator):
    until(change, "watch", hazel, operator)
    change_watch_begin(change=change, seen=needle(137, minutes_ago=2), by=operator)

    assert change_watch_end(change=change, seen=needle(137), by=operator) == "Not yet"
    assert change.step == "watch"
    assert open_watch(hazel).details["gauge"] == "137 bar"


def test_a_rule_of_the_place_comes_before_the_printed_one(change, hazel, source, operator):
    source.fall_limit_kpa, source.fall_limit_min = 300.0, 5.0
    source.save()
    until(change, "watch", hazel, operator)
    change_watch_begin(change=change, seen=needle(137, minutes_ago=5), by=operator)

    assert change_watch_end(change=change, seen=needle(133.5), by=operator) == "Stop"
    answer = CylinderEvent.objects.get(kind="watch ended").details["answer"]
    assert answer["views"][-1] == {
        "label": "Rule of this place",
        "result": "3 bar in 5 min",
        "source": "site_rule",
        "how_known": "site",
        "chosen": True,
    }


def test_a_step_can_be_taken_back_until_something_is_fitted(change, hazel, operator):
    until(change, "old", hazel, operator)
    change_back(change=change, by=operator)
    assert change.step == "check"

    until_seal = ("check", "old", "seal")
    change_check(change=change, found=looked_at(hazel), by=operator)
    change_close_old(change=change, by=operator)
    change_seal(change=change, seal="new", by=operator)
    assert change.step not in until_seal
    with pytest.raises(RuleBroken, match="The full one is on"):
        change_back(change=change, by=operator)


def test_a_first_cylinder_has_no_old_one_to_close(source, hazel, operator):
    change = change_begin(source=source, by=operator)
    change_animal(change=change, how="no animal", by=operator)
    change_flows_off(change=change, by=operator)
    change_check(change=change, found=looked_at(hazel), by=operator)

    assert change.step == "seal"
    assert len(change_lines(change)) == 7


def test_a_change_ends_early_only_with_a_reason_and_once(change, operator):
    with pytest.raises(RuleBroken, match="Say why the change ends here"):
        change_give_up(change=change, reason="", by=operator)
    change_give_up(change=change, reason="No full one in the store.", by=operator)

    with pytest.raises(RuleBroken, match="has ended already"):
        change_give_up(change=change, reason="Again.", by=operator)
    with pytest.raises(RuleBroken, match="done a moment ago"):
        change_animal(change=change, how="no animal", by=operator)


def test_the_needle_of_a_closed_valve_is_never_a_reading(change, hazel, operator):
    until(change, "watch", hazel, operator)
    change_watch_begin(change=change, seen=needle(137, minutes_ago=6), by=operator)
    change_watch_end(change=change, seen=needle(136.5), by=operator)

    assert [one.typed for one in hazel.readings.all()] == ["137 bar"]

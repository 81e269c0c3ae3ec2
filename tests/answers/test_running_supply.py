"""How long the oxygen of a running case lasts: by the last reading, less what was drawn since."""

from dataclasses import replace

import pytest

from ullage.answers import Verdict
from ullage.answers.lasts import cylinder_lasts
from ullage.answers.running_supply import (
    FittedRead,
    OxygenLeft,
    flows_offered,
    oxygen_left,
    used_since,
)
from ullage.answers.things import Cylinder, FlowPeriod, Gas, Reading
from ullage.core.errors import InvalidQuantity, RuleBroken

BIG = Cylinder(gas=Gas.OXYGEN, water_capacity_l=10.0, label="Rowan")
READ = FittedRead(cylinder=BIG, reading=Reading(at_min=0.0, gauge_kpa=8800.0))
DRAWN = (FlowPeriod(start_min=0.0, end_min=60.0, flow_l_min=2.0),)
KNOWN = OxygenLeft(fitted=(READ,), now_min=60.0, drawn=DRAWN)


def test_at_the_moment_of_the_reading_it_is_how_long_the_cylinder_lasts():
    found = oxygen_left(replace(KNOWN, now_min=0.0, drawn=()), 4.0)
    plain = cylinder_lasts(BIG, READ.reading, 4.0)

    assert (found.low, found.value, found.high) == (plain.low, plain.value, plain.high)


def test_what_was_drawn_since_is_taken_off():
    # by hand: 120 L were drawn in the hour, 30 min of them at 4 L/min
    before = oxygen_left(replace(KNOWN, drawn=()), 4.0)

    assert before.value - oxygen_left(KNOWN, 4.0).value == pytest.approx(30.0)


def test_the_band_widens_with_what_was_drawn_and_not_read():
    before, after = oxygen_left(replace(KNOWN, drawn=()), 4.0), oxygen_left(KNOWN, 4.0)

    assert after.high - after.low > before.high - before.low


def test_only_what_lies_between_reading_and_now_was_used():
    drawn = (
        FlowPeriod(start_min=-60.0, end_min=10.0, flow_l_min=2.0),
        FlowPeriod(start_min=10.0, end_min=500.0, flow_l_min=1.0),
    )

    assert used_since(drawn, 0.0, 30.0) == pytest.approx(20.0 + 20.0)
    assert used_since(drawn, 40.0, 30.0) == 0.0


def test_a_new_reading_takes_the_place_of_the_estimate():
    again = FittedRead(cylinder=BIG, reading=Reading(at_min=60.0, gauge_kpa=7000.0))
    found = oxygen_left(replace(KNOWN, fitted=(again,)), 4.0)

    assert found.value == cylinder_lasts(BIG, again.reading, 4.0).value


def test_what_other_cases_draw_counts():
    shared = oxygen_left(replace(KNOWN, others_l_min=4.0), 4.0)

    assert shared.value == pytest.approx(oxygen_left(KNOWN, 8.0).value)
    assert "Other cases draw 4 L/min" in " ".join(shared.reasons)


@pytest.mark.parametrize(
    ("ends_min", "verdict", "words"),
    [
        (120.0, Verdict.FINE, "beyond the planned end"),
        (60.0 + 150.0, Verdict.LOOK_AGAIN, "beyond the planned end"),
        (60.0 + 240.0, Verdict.STOP, "before the planned end"),
        (10.0, Verdict.FINE, "beyond the planned end"),
    ],
)
def test_the_verdict_holds_it_against_the_planned_end(ends_min, verdict, words):
    found = oxygen_left(replace(KNOWN, ends_min=ends_min), 4.0)

    assert found.verdict is verdict
    assert words in found.sentence
    assert bool(found.todo) is (verdict is not Verdict.FINE)


def test_what_is_used_up_stops():
    drawn = (FlowPeriod(start_min=0.0, end_min=60.0, flow_l_min=15.0),)
    found = oxygen_left(replace(KNOWN, drawn=drawn), 4.0)

    assert (found.value, found.verdict) == (0.0, Verdict.STOP)


def test_several_cylinders_add_up():
    both = oxygen_left(replace(KNOWN, fitted=(READ, READ)), 4.0)
    one = oxygen_left(KNOWN, 4.0)

    assert both.value > 2 * one.value
    assert any("oldest of the readings" in line for line in both.assumptions)


@pytest.mark.parametrize("flow", [0.0, -1.0, float("nan"), float("inf")])
def test_a_flow_that_cannot_be_is_refused(flow):
    with pytest.raises(InvalidQuantity, match="flow_l_min"):
        oxygen_left(KNOWN, flow)


def test_without_a_reading_there_is_nothing_to_tell():
    with pytest.raises(RuleBroken, match="eading"):
        OxygenLeft(fitted=(), now_min=0.0)


@pytest.mark.parametrize("flow", [0.05, 0.6, 1.2, 3.0, 14.0])
def test_the_flow_that_runs_is_among_those_that_are_offered(flow):
    found = flows_offered(flow)

    assert flow in found
    assert found == tuple(sorted(set(found)))
    assert all(one <= 15.0 for one in found)


def test_without_a_planned_end_nothing_is_judged_until_it_is_used_up():
    assert oxygen_left(KNOWN, 4.0).verdict is None

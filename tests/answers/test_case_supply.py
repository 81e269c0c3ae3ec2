"""Whether the gas lasts for one case: arithmetic of a cylinder, and laws of every day."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers.case_supply import case_supply
from ullage.answers.lasts import cylinder_contents
from ullage.answers.plan import (
    Case,
    DayPlan,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
)
from ullage.answers.things import Cylinder, Gas, Reading, ReservePolicy
from ullage.core.errors import RuleBroken

ALDER = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7)
READ = Reading(at_min=472, gauge_kpa=7100, temperature_k=293.15)
KEEP = ReservePolicy(pressure_kpa=1400.0)


def clover(flow=1.7, minutes=110.0, start=630.0):
    whole = Phase(name="all", minutes=minutes, oxygen_l_min=flow)
    # Checked already: no check, no flush before it.
    return Case(name="Clover", machine="Wren", start_min=start, phases=(whole,), checked=True)


def day(*cases, sources=None, **more):
    source = GasSource(
        name="Alder",
        kind=SourceKind.CYLINDER,
        feeds=("Wren",),
        cylinders=(Held(cylinder=ALDER, reading=READ),),
    )
    return DayPlan(
        sources=(source,) if sources is None else sources,
        machines=(Machine(name="Wren"), Machine(name="Heron")),
        cases=cases,
        policy=KEEP,
        **more,
    )


def test_it_is_contents_less_what_is_kept_divided_by_the_flow():
    """343 L by real-gas tables less 69 kept back; 1.7 L/min at 70 °F is 1.664 at 15 °C."""
    found = case_supply(day(clover()), clover())
    left = cylinder_contents(ALDER, READ).value

    assert found.points[0].middle_l == pytest.approx(left, rel=1e-6)
    warm, cool = 294.26, 288.15
    by_hand = (343.0 - 69.0) / (1.7 * cool / warm)
    assert found.answer.value == pytest.approx(by_hand, rel=0.005)
    assert found.need_min == 110.0


def test_the_case_before_counts_and_the_case_after_does_not():
    alone = case_supply(day(clover()), clover())
    before = replace(clover(start=500.0, minutes=60.0), name="Sorrel")
    after = replace(clover(start=800.0), name="Bracken")

    assert case_supply(day(before, clover()), clover()).answer.value < alone.answer.value - 50
    assert case_supply(day(clover(), after), clover()).answer.value == pytest.approx(
        alone.answer.value
    )


def test_a_case_that_needs_more_than_there_is_is_stopped_and_says_what_to_do():
    long = clover(minutes=300.0)
    found = case_supply(day(long), long)

    assert found.answer.verdict.value == "Stop"
    assert found.answer.todo == "Fit a full one before Clover."
    assert "ends" in found.answer.sentence


def test_the_highest_flow_of_a_rule_is_a_second_line_below_the_first():
    found = case_supply(day(clover()), clover(), highest_l_min=2.6)

    assert found.points[0].at_highest_l == pytest.approx(found.points[0].middle_l)
    assert found.points[-1].at_highest_l < found.points[-1].middle_l


def test_what_nothing_feeds_has_no_answer_and_a_pipeline_has_no_minutes():
    heron = replace(clover(), machine="Heron")
    outlet = GasSource(name="Outlet", kind=SourceKind.PIPELINE, feeds=("Wren",))

    assert case_supply(day(heron), heron) is None
    found = case_supply(day(clover(), sources=(outlet,)), clover())
    assert (found.answer.value, found.points) == (None, ())


def test_a_case_that_draws_nothing_says_so():
    none = replace(clover(), phases=(Phase(name="all", minutes=30.0, air_l_min=1.0),))

    assert case_supply(day(none), none).answer.sentence == "Clover draws nothing from Alder."


def test_a_case_of_another_day_is_refused():
    with pytest.raises(RuleBroken, match="not in this plan"):
        case_supply(day(), clover())


@settings(max_examples=25, deadline=None)
@given(flow=st.floats(0.2, 8.0), minutes=st.floats(5.0, 400.0))
def test_more_flow_never_lasts_longer_and_the_band_holds_the_number(flow, minutes):
    mine, more = clover(flow, minutes), clover(1.2 * flow, minutes)
    found = case_supply(day(mine), mine, draws=128)
    other = case_supply(day(more), more, draws=128)

    assert other.answer.value <= found.answer.value + 1e-9
    assert found.answer.low <= found.answer.value <= found.answer.high
    assert [p.middle_l for p in found.points] == sorted(
        (p.middle_l for p in found.points), reverse=True
    )

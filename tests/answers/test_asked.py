"""The question in one piece: the whole demand in words, how well a flow is known, bad input."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import cylinder_lasts
from ullage.answers.asked import Asked, OtherDemand, flow_doubt, flow_error, with_flow
from ullage.answers.held import policy_of
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas
from ullage.core.supply import Doubt

E = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76)
HALF = Reading(at_min=0.0, gauge_kpa=6895.0)


def asked(fresh=1.0, drive=0.0, leak=0.0):
    return Asked(
        cylinder=E,
        reading=HALF,
        fresh_l_min=fresh,
        other=OtherDemand(drive_l_min=drive, leak_l_min=leak),
        policy=policy_of(ReservePolicy(), Place()),
        place=Place(),
    )


@pytest.mark.parametrize(
    ("told", "words", "whole"),
    [
        (asked(), "1 L/min", 1.0),
        (asked(drive=5.0), "1 L/min and 5 L/min to drive the ventilator", 6.0),
        (asked(leak=0.1), "1 L/min and 0.1 L/min leaking", 1.1),
        (
            asked(0.5, 5.0, 0.1),
            "0.5 L/min and 5 L/min to drive the ventilator and 0.1 L/min leaking",
            5.6,
        ),
    ],
)
def test_the_whole_demand_is_said_part_by_part(told, words, whole):
    assert told.flow_words == words
    assert told.flow_l_min == pytest.approx(whole)


@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize("name", ["drive_l_min", "leak_l_min"])
def test_drive_gas_and_leak_are_amounts(name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is "):
        OtherDemand(**{name: value})


# supply 5: below 1 L/min off by 25 % or more, a limit; above 10 %, taken as one SD.
@pytest.mark.parametrize(
    ("flow", "key", "limit", "sd"),
    [
        (0.1, "flow_low_error_share", 0.25, 0.0),
        (0.99, "flow_low_error_share", 0.25, 0.0),
        (1.0, "flow_sd_share", 0.0, 0.10),
        (12.0, "flow_sd_share", 0.0, 0.10),
    ],
)
def test_how_well_a_flow_is_known_goes_by_its_height(flow, key, limit, sd):
    doubt = flow_doubt(flow)

    assert flow_error(flow).key == key
    assert (doubt.flow_limit_share, doubt.flow_sd_share) == (limit, sd)


@pytest.mark.parametrize("flow", [0.1, 5.0])
def test_a_share_known_for_the_meter_comes_first(flow):
    doubt = flow_doubt(flow, 0.03)

    assert (doubt.flow_sd_share, doubt.flow_limit_share) == (0.03, 0.0)


def test_only_the_fresh_gas_is_in_doubt_not_what_drives_the_ventilator():
    doubt = with_flow(Doubt(gauge_kpa=50.0, temperature_k=5.0, water_share=0.01), asked(2.0, 6.0))

    # 10 % of 2 L/min are 2.5 % of 8 L/min; the rest of the doubt stays as it was.
    assert doubt.flow_sd_share == pytest.approx(0.025)
    assert (doubt.gauge_kpa, doubt.temperature_k, doubt.water_share) == (50.0, 5.0, 0.01)


@settings(max_examples=15, deadline=None)
@given(st.floats(1.0, 10.0), st.floats(0.0, 10.0))
def test_what_is_sure_beside_the_fresh_gas_narrows_the_band(fresh, drive):
    rule = ReservePolicy(pressure_kpa=1400.0)
    exact = Cylinder(
        gas=Gas.OXYGEN, water_capacity_l=4.76, gauge_error_share=0.0, water_capacity_share=0.0
    )
    alone, driven = (
        cylinder_lasts(exact, HALF, fresh, rule, other=OtherDemand(drive_l_min=one))
        for one in (0.0, drive)
    )

    assert driven.value <= alone.value
    assert (driven.high - driven.low) / driven.value <= (
        (alone.high - alone.low) / alone.value + 1e-6
    )


@settings(max_examples=20, deadline=None)
@given(st.floats(0, 20_000), st.floats(0.1, 20.0), st.floats(0.0, 10.0))
def test_the_band_holds_the_value_and_a_stop_is_said_where_it_may_be_reached(kpa, flow, leak):
    answer = cylinder_lasts(
        E, Reading(at_min=0, gauge_kpa=kpa), flow, other=OtherDemand(leak_l_min=leak)
    )

    assert 0.0 <= answer.low <= answer.value <= answer.high
    assert (answer.verdict.value == "Stop") is (answer.low <= 0)
    assert bool(answer.todo) is (answer.verdict.value != "Fine")


@settings(max_examples=20, deadline=None)
@given(st.floats(1500, 20_000), st.floats(1500, 20_000))
def test_a_higher_gauge_never_lasts_shorter_at_either_end(one, other):
    low, high = (
        cylinder_lasts(E, Reading(at_min=0, gauge_kpa=kpa), 2.0) for kpa in sorted((one, other))
    )

    assert low.value <= high.value
    assert low.low <= high.low + 0.5
    assert low.high <= high.high + 0.5

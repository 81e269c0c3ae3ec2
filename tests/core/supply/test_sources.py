"""What a source gives, and what is kept back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.supply import (
    ReserveRule,
    concentrator_shortfall_l_min,
    endurance_min,
    in_turn_l,
    kept_back_l,
    liquid_loss_l_min,
    reserve_from_minutes_l,
    usable_l,
)

litres = st.floats(0.0, 1e5)
flows = st.floats(0.01, 100.0)


# Teaching page of a vendor (supply S11): 651 L last about 11 h, 7107 L 118 h at 1 L/min.
@pytest.mark.published("supply_S11")
@pytest.mark.parametrize(
    ("contents", "hours", "tolerance"), [(651, 10.85, 0.2), (7107, 118.4, 1.0)]
)
def test_a_cylinder_without_a_reserve_lasts_as_printed(contents, hours, tolerance):
    assert endurance_min(contents, 1.0) / 60 == pytest.approx(hours, abs=tolerance)


@given(litres, flows)
def test_twice_the_flow_lasts_half_as_long(usable, flow):
    assert endurance_min(usable, 2 * flow) == pytest.approx(endurance_min(usable, flow) / 2)


@given(litres, litres)
def test_nothing_is_usable_below_what_is_kept(contents, kept):
    found = usable_l(contents, kept)

    assert found >= 0
    assert (found == 0) == (contents <= kept)


@given(st.lists(litres, min_size=1, max_size=8))
def test_cylinders_in_turn_give_their_sum_and_never_take_back(each):
    found = in_turn_l(each)

    assert list(found) == sorted(found)
    assert found[-1] == pytest.approx(sum(each))


def test_a_vessel_that_loses_a_seventh_a_day_is_empty_in_a_week():
    assert liquid_loss_l_min(10_080.0, 1 / 7) == pytest.approx(1.0)


@given(litres, litres)
def test_a_concentrator_falls_short_only_beyond_its_limit(peak, limit):
    short = concentrator_shortfall_l_min(peak, limit + 0.1)

    assert short == pytest.approx(max(peak - limit - 0.1, 0.0))


def test_fifteen_minutes_of_twelve_litres_are_180():
    assert reserve_from_minutes_l(15.0, 12.0) == 180.0


def test_the_largest_part_of_a_rule_holds():
    rule = ReserveRule(pressure_kpa=1379, volume_l=100, minutes=15)

    assert kept_back_l(rule, at_pressure_l=70, at_zero_l=5, demand_l_min=1) == 105
    assert kept_back_l(rule, at_pressure_l=270, at_zero_l=5, demand_l_min=1) == 270
    assert kept_back_l(rule, at_pressure_l=70, at_zero_l=5, demand_l_min=10) == 155


def test_without_any_rule_what_does_not_come_out_is_kept():
    assert kept_back_l(ReserveRule(), at_pressure_l=99, at_zero_l=5, demand_l_min=10) == 5


@given(litres, litres, flows, flows)
def test_more_demand_never_keeps_less(at_pressure, at_zero, less, more):
    less, more = sorted((less, more))
    rule = ReserveRule(pressure_kpa=1379, minutes=15)
    keeps = [kept_back_l(rule, at_pressure, at_zero, one) for one in (less, more)]

    assert keeps[0] <= keeps[1]


@pytest.mark.parametrize("flow", [0.0, -1.0, float("nan"), float("inf")])
def test_a_flow_that_is_not_a_flow_is_refused(flow):
    with pytest.raises(InvalidQuantity, match=r"flow_l_min .* must be a number above 0"):
        endurance_min(100.0, flow)


def test_a_rule_that_keeps_nothing_sensible_is_refused():
    with pytest.raises(InvalidQuantity, match="pressure_kpa is -1"):
        ReserveRule(pressure_kpa=-1)
    with pytest.raises(InvalidQuantity, match="daily_loss_share is 2"):
        liquid_loss_l_min(100.0, 2.0)

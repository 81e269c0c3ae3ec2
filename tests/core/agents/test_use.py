"""Liquid, money and climate."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.agents import (
    climate_kg_h,
    liquid_lasts_min,
    liquid_price,
    liquid_use_ml_h,
    vapour_in_carrier_l_min,
    vapour_in_outlet_l_min,
)
from ullage.core.errors import InvalidQuantity


# Fact base on agents, section 4: mL/h for each L/min and per cent at 20 °C 3.08, 3.26, 2.86, 2.62.
@pytest.mark.published("agents_base")
@pytest.mark.parametrize(
    ("vapour_per_liquid", "printed"), [(195.0, 3.08), (184.0, 3.26), (210.0, 2.86), (229.0, 2.62)]
)
def test_the_multipliers_of_the_rule_are_reproduced(vapour_per_liquid, printed):
    use = liquid_use_ml_h(vapour_in_outlet_l_min(0.01, 1.0), vapour_per_liquid)

    assert use == pytest.approx(printed, abs=0.005)


# The same section: 11 % more at 10 % when the carrier flow is what is known.
@pytest.mark.published("agents_base")
def test_the_vapour_itself_counts_where_the_agent_is_strong():
    more = vapour_in_carrier_l_min(0.10, 1.0) / vapour_in_outlet_l_min(0.10, 1.0)

    assert more == pytest.approx(1.11, abs=0.005)


@given(st.floats(0.0, 0.2), st.floats(0.1, 10.0))
def test_outlet_and_carrier_are_two_ways_to_say_the_same(fraction, carrier):
    vapour = vapour_in_carrier_l_min(fraction, carrier)

    assert vapour_in_outlet_l_min(fraction, carrier + vapour) == pytest.approx(vapour)


@given(st.floats(0.0, 500.0), st.floats(0.1, 100.0))
def test_what_lasts_is_used_up_after_its_time(liquid, use):
    assert liquid_lasts_min(liquid, use) / 60.0 * use == pytest.approx(liquid)


@given(st.floats(0.0, 1.0), st.floats(0.1, 1.0))
def test_half_the_fresh_gas_is_half_the_warming(vapour, scale):
    whole = climate_kg_h(vapour, 168.04, 2540.0, 24.06)

    assert climate_kg_h(scale * vapour, 168.04, 2540.0, 24.06) == pytest.approx(scale * whole)


# Fact base on agents, section 5: kg/h = FGF x 60 x f x M x GWP/(1000 x 24.06); here 2 L/min of 6 %.
def test_warming_follows_the_published_formula():
    by_hand = 2.0 * 60.0 * 0.06 * 168.04 * 2540.0 / (1000.0 * 24.06)

    assert climate_kg_h(0.12, 168.04, 2540.0, 24.06) == pytest.approx(by_hand)


def test_a_price_follows_the_bottle():
    assert liquid_price(100.0, 250.0, 80.0) == pytest.approx(32.0)


@pytest.mark.parametrize("use", [0.0, float("nan")])
def test_a_use_of_nothing_lasts_no_stated_time(use):
    with pytest.raises(InvalidQuantity, match="use_ml_h"):
        liquid_lasts_min(100.0, use)


def test_pure_agent_has_no_carrier():
    with pytest.raises(InvalidQuantity, match="fraction is 1"):
        vapour_in_carrier_l_min(1.0, 2.0)

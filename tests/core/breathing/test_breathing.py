"""Fresh gas, sizes, absorbent and suitability against printed figures and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.breathing import (
    WeightBand,
    absorbed_from_weight_l,
    absorbent_capacity_l,
    absorbent_life_h,
    bag_volume_l,
    chamber_fraction,
    flow_by_minute_volume_l_min,
    flow_by_weight_l_min,
    hose_volume_l,
    manifold_flow_l_min,
    minutes_to_share_min,
    next_size_l,
    peak_inspiratory_flow_l_min,
    suitability_fraction,
    time_constant_min,
    vented_fraction,
)
from ullage.core.errors import InvalidQuantity

BAGS = (0.5, 1.0, 2.0, 3.0, 5.0)
CIRCLE = WeightBand(lowest_kg=3.0, low_kg=10.0, high_kg=100.0, highest_kg=100.0)

# Feline table of machine S02 (seen): weight in kg -> fresh gas in L/min.
FELINE = {1: 0.5, 3: 0.6, 4: 0.8, 5: 1.0, 6: 1.2, 8: 1.6, 10: 2.0}


@pytest.mark.published("machine_S02")
@pytest.mark.parametrize("weight", FELINE)
def test_the_feline_table_is_two_hundred_a_kilo_with_a_floor(weight):
    assert flow_by_weight_l_min(weight, 0.2, 0.5) == pytest.approx(FELINE[weight], abs=0.05)


@pytest.mark.published("machine_S37")
def test_a_dog_of_25_kg_has_a_largest_breath_of_750_ml_in_half_its_bag():
    # Machine S37 (seen): 25 kg, tidal volume 10 mL/kg, bag 6 times that.
    assert bag_volume_l(0.250, 6.0) / 2.0 == pytest.approx(0.750)


@pytest.mark.published("machine_S46")
def test_the_pharmacopoeia_floor_is_ten_litres_a_hundred_grams():
    # Machine S46 (seen): gains at least 19 % of its weight; 10.4 L per 100 g at 20 °C (derived).
    assert absorbed_from_weight_l(0.019) == pytest.approx(10.4, abs=0.05)


@pytest.mark.published("machine_S08")
def test_a_kilo_of_absorbent_lasts_a_dog_about_thirty_hours():
    # Machine S08 (seen): 1 kg about 30 h; at 12 L per 100 g that is 67 mL/min (derived).
    assert absorbent_life_h(absorbent_capacity_l(1.0, 120.0), 0.067) == pytest.approx(30, rel=0.02)


def test_hoses_hold_what_their_bore_says():
    # Machine section 1.7 (derived): 22 mm, two of 1.5 m, 1.14 L; 15 mm 0.53 L; 22 mm 1.8 m 0.68 L.
    assert hose_volume_l(22.0, 3.0) == pytest.approx(1.14, abs=0.005)
    assert hose_volume_l(15.0, 3.0) == pytest.approx(0.53, abs=0.005)
    assert hose_volume_l(22.0, 1.0, 0.2) == pytest.approx(1.2 * hose_volume_l(22.0, 1.0))


@pytest.mark.parametrize(("constants", "share"), [(1, 0.63), (2, 0.86), (3, 0.95)])
def test_one_two_and_three_time_constants(constants, share):
    # Machine section 1.7 (memory, standard): 63, 86 and 95 %.
    reached = chamber_fraction(1.0, 6.0, 2.0, constants * time_constant_min(6.0, 2.0))

    assert reached == pytest.approx(share, abs=0.005)


@given(st.floats(0.5, 50.0), st.floats(0.05, 10.0), st.floats(0.01, 0.99))
def test_the_time_to_a_share_is_the_time_at_which_it_is_there(volume, flow, share):
    minutes = minutes_to_share_min(volume, flow, share)

    assert chamber_fraction(1.0, volume, flow, minutes) == pytest.approx(share, rel=1e-9)


@given(st.floats(0.01, 4.9))
def test_the_next_size_holds_it_and_no_smaller_one_does(volume):
    size = next_size_l(volume, BAGS)

    assert size >= volume
    assert all(one < volume for one in BAGS if one < size)


def test_a_bag_that_nobody_sells_is_refused():
    with pytest.raises(InvalidQuantity, match=r"volume_l is 30; it must be at most 5 L"):
        next_size_l(30.0, BAGS)


def test_a_mask_without_reservoir_needs_the_peak_flow():
    # Machine section 1.5 (derived): I:E 1:1 3.1 times, 1:2 4.7 times the minute volume.
    assert peak_inspiratory_flow_l_min(1.0, 1.0) == pytest.approx(3.1, abs=0.05)
    assert peak_inspiratory_flow_l_min(1.0, 2.0) == pytest.approx(4.7, abs=0.05)


def test_flows_add_over_open_places_and_scale_with_breathing():
    assert manifold_flow_l_min(4, 0.25) == 1.0
    assert flow_by_minute_volume_l_min(0.8, 2.5) == 2.0


@given(st.floats(0.0, 20.0), st.floats(0.1, 20.0))
def test_more_fresh_gas_never_shortens_the_life_of_absorbent(fresh, minute_volume):
    less = vented_fraction(fresh / 2, minute_volume)
    more = vented_fraction(fresh, minute_volume)

    assert 0.0 <= less <= more <= 1.0


@given(st.floats(0.001, 1000.0))
def test_suitability_is_a_share(weight):
    assert 0.0 <= suitability_fraction(weight, CIRCLE) <= 1.0


def test_edges_that_fall_are_refused():
    with pytest.raises(InvalidQuantity, match="weight band"):
        WeightBand(lowest_kg=5.0, low_kg=3.0, high_kg=10.0, highest_kg=20.0)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: flow_by_weight_l_min(0.0, 0.2), "weight_kg"),
        (lambda: time_constant_min(5.0, float("nan")), "flow_l_min"),
        (lambda: absorbent_life_h(100.0, 0.1, 1.0), "vented"),
        (lambda: hose_volume_l(-1.0, 1.0), "bore_mm"),
        (lambda: suitability_fraction(float("inf"), CIRCLE), "weight_kg"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, named):
    with pytest.raises(InvalidQuantity, match=named):
        call()

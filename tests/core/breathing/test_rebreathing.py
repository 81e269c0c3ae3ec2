"""Rebreathing: the computed reference solution, published set-ups, and laws."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.core.breathing import (
    Breath,
    co2_completely_mixed_fraction,
    co2_floor_fraction,
    co2_mixed_expired_fraction,
    fresh_gas_without_rebreathing_l_min,
    rebreathed,
)
from ullage.core.errors import InvalidQuantity, SolveFailed

ADULT = Breath(
    tidal_l=0.45, breaths_per_min=16.0, dead_space_l=0.15, co2_output_l_min=0.19, limb_l=0.5
)

# uptake.md section 9.6 (computed), 150 breaths: fresh gas -> alveolar, inspired.
PRINTED = {
    8: (0.04795, 0.009861),
    12: (0.04199, 0.002828),
    15: (0.04034, 0.000989),
    20: (0.03958, 0),
}


@pytest.mark.comparison
@pytest.mark.parametrize("flow", PRINTED)
def test_plug_flow_agrees_with_the_computed_reference_solution(flow):
    alveolar, inspired = PRINTED[flow]

    found = rebreathed(ADULT, float(flow))

    assert found.alveolar_fraction == pytest.approx(alveolar, abs=0.6e-5)
    assert found.inspired_fraction == pytest.approx(inspired, abs=0.6e-6)


@pytest.mark.comparison
def test_the_flow_without_rebreathing_agrees_with_the_computed_set_up():
    """uptake.md section 8, H-BAIN-SPONT (computed): 213.9 mL/kg/min at 70 kg, limit 0.1 %."""
    assert 1000.0 * fresh_gas_without_rebreathing_l_min(ADULT) / 70.0 == pytest.approx(
        213.9, abs=0.1
    )


@pytest.mark.published("uptake_base")
def test_a_pause_and_a_wider_limit_need_less_fresh_gas_as_is_told():
    """uptake.md section 2.5: 163 to 253 mL/kg/min, pause 20 to 0 %, limit 0.2 to 0.05 %."""
    least = fresh_gas_without_rebreathing_l_min(replace(ADULT, pause_share=0.20), 0.002)
    most = fresh_gas_without_rebreathing_l_min(replace(ADULT, pause_share=0.0), 0.0005)

    assert 1000.0 * least / 70.0 == pytest.approx(163.0, abs=1.0)
    assert 1000.0 * most / 70.0 == pytest.approx(253.0, abs=1.0)


# uptake.md section 8 (computed), mL/min: fresh gas, minute volume, dead space, CO2 -> mmHg.
MIXED = [(75, 150, 0.35, 3.0, 36.2), (100, 150, 0.35, 3.0, 29.07), (1975, 5925, 0.30, 105, 43.32)]


@pytest.mark.comparison
@pytest.mark.parametrize(("fresh", "minute", "dead", "made", "mmhg"), MIXED)
def test_mixed_expired_gas_agrees_with_the_computed_set_ups(fresh, minute, dead, made, mmhg):
    alveolar = minute * (1.0 - dead)

    found = co2_mixed_expired_fraction(made, fresh, minute, alveolar)

    assert 713.0 * found == pytest.approx(mmhg, rel=2e-4)


def test_complete_mixing_gives_half_as_much_again():
    """uptake.md section 2.5: about 50 % higher for the three published set-ups."""
    for fresh, minute, dead, made, _ in MIXED:
        flows = made, fresh, minute, minute * (1.0 - dead)
        ratio = co2_completely_mixed_fraction(*flows) / co2_mixed_expired_fraction(*flows)
        assert 1.35 < ratio < 1.65


def test_fresh_gas_above_the_minute_volume_leaves_alveolar_ventilation_alone():
    found = co2_mixed_expired_fraction(0.2, 12.0, 6.0, 4.2)

    assert found == pytest.approx(0.2 / 4.2)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.4, 3.0), st.floats(0.4, 3.0))
def test_more_fresh_gas_never_means_more_carbon_dioxide(one, other):
    low, high = sorted((one, other))
    breath = ADULT.minute_volume_l_min
    few, many = (rebreathed(ADULT, share * breath) for share in (low, high))

    assert many.inspired_fraction <= few.inspired_fraction + 1e-7
    assert many.alveolar_fraction <= few.alveolar_fraction + 1e-7


@settings(max_examples=10, deadline=None)
@given(st.floats(0.01, 50.0), st.floats(0.5, 2.5))
def test_a_breath_of_another_size_at_the_same_shares_is_the_same(size, share):
    scaled = Breath(
        tidal_l=0.45 * size,
        breaths_per_min=16.0,
        dead_space_l=0.15 * size,
        co2_output_l_min=0.19 * size,
        limb_l=0.5 * size,
    )

    here = rebreathed(ADULT, share * ADULT.minute_volume_l_min)
    there = rebreathed(scaled, share * scaled.minute_volume_l_min)

    assert there.alveolar_fraction == pytest.approx(here.alveolar_fraction, rel=1e-6)


def test_a_ventilator_that_inspires_evenly_rebreathes_too():
    even = replace(ADULT, ventilated=True)

    assert rebreathed(even, 8.0).inspired_fraction > 0.005


def test_a_limit_that_no_flow_reaches_is_told():
    deep = replace(ADULT, limb_l=5.0, expiration_per_inspiration=30.0, pause_share=0.0)

    with pytest.raises(SolveFailed, match="keeps rebreathing so low"):
        fresh_gas_without_rebreathing_l_min(deep, 1e-7)


@pytest.mark.parametrize(
    ("change", "words"),
    [({"tidal_l": 0.0}, "tidal_l is 0"), ({"dead_space_l": 0.45}, r"dead_space_l is 0\.45")],
)
def test_a_breath_that_cannot_be_is_refused(change, words):
    with pytest.raises(InvalidQuantity, match=words):
        replace(ADULT, **change)


@pytest.mark.parametrize("flow", [0.0, float("nan")])
def test_no_fresh_gas_is_refused(flow):
    with pytest.raises(InvalidQuantity, match="fresh_gas_l_min is"):
        rebreathed(ADULT, flow)


def test_alveoli_that_get_more_than_the_whole_are_refused():
    with pytest.raises(InvalidQuantity, match=r"alveolar_l_min is 7; it must be between 0 and 6"):
        co2_mixed_expired_fraction(0.2, 5.0, 6.0, 7.0)


# Machine section 1.5: (PB - 47) x VCO2 over fresh gas, or over alveolar ventilation; BF23, BF24.
@pytest.mark.parametrize(
    ("made", "fresh", "alveolar", "mmhg"),
    [(3.0, 100.0, 500.0, 21.4), (5.0, 70.0, 500.0, 50.9), (3.0, 500.0, 100.0, 21.4)],
)
def test_the_floor_is_set_by_the_smaller_of_fresh_gas_and_ventilation(made, fresh, alveolar, mmhg):
    assert 713.0 * co2_floor_fraction(made, fresh, alveolar) == pytest.approx(mmhg, abs=0.06)


@pytest.mark.parametrize("wrong", [(-0.1, 1.0, 1.0), (0.1, 0.0, 1.0), (0.1, 1.0, 0.0)])
def test_a_floor_of_no_flow_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=r"(output|gas|alveolar)_l_min is"):
        co2_floor_fraction(*wrong)


@given(st.floats(0.01, 1.0), st.floats(0.1, 20.0), st.floats(0.1, 20.0), st.floats(0.5, 1.0))
def test_no_form_goes_below_the_floor(made, fresh, minute, share):
    alveolar = share * minute
    floor = co2_floor_fraction(made, fresh, alveolar)

    assert co2_mixed_expired_fraction(made, fresh, minute, alveolar) >= floor * (1 - 1e-9)
    assert co2_completely_mixed_fraction(made, fresh, minute, alveolar) >= floor * (1 - 1e-9)

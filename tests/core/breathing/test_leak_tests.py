"""Leak tests of breathing systems: closed forms, the two laws that bracket a leak, bad input.

Expected values are worked on paper from the published limits that each names, or follow from the
law of a leak run forward in time.
"""

from fractions import Fraction
from math import exp, inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ullage.core import breathing as b
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import creep_kpa_min, droop_share

CMH2O = 0.0980665
ML_CMH2O = 0.001 / CMH2O

pressures = st.floats(0.05, 20.0)
leaks = st.floats(1e-4, 20.0)
compliances = st.floats(1e-3, 1.0)


@pytest.mark.parametrize(
    ("compliance_ml", "start", "end", "seconds"),
    [(25, 30, 25, 10), (8, 30, 25, 10), (22, 30, 20, Fraction(314, 10)), (1, 7, 7, 1)],
)
def test_a_fall_is_compliance_times_fall_over_time(compliance_ml, start, end, seconds):
    exact = Fraction(compliance_ml) * (start - end) * 60 / Fraction(seconds)

    found = b.fall_leak_l_min(
        compliance_ml * ML_CMH2O, start * CMH2O, end * CMH2O, float(Fraction(seconds)) / 60.0
    )
    assert 1000.0 * found == pytest.approx(float(exact), rel=1e-9, abs=1e-12)


@given(leak=leaks, compliance=compliances, start=pressures, minutes=st.floats(0.01, 5.0))
def test_a_leak_in_step_with_pressure_is_found_again_from_its_fall(
    leak, compliance, start, minutes
):
    """Run forward: the pressure falls exponentially; the leak at the start comes back."""
    fallen = leak / start * minutes / compliance
    assume(1e-6 < fallen < 20.0)
    end = start * exp(-fallen)

    mean = b.fall_leak_l_min(compliance, start, end, minutes)
    at = b.pressure_in_step_mean_kpa(start, end)
    assert b.leak_in_step_l_min(mean, at, start) == pytest.approx(leak, rel=1e-9)


@given(leak=leaks, compliance=compliances, start=pressures, minutes=st.floats(0.01, 5.0))
def test_a_leak_through_a_hole_is_found_again_from_its_fall(leak, compliance, start, minutes):
    """Run forward: the root of the pressure falls evenly; the leak at the start comes back."""
    root = sqrt(start) - leak / sqrt(start) * minutes / (2.0 * compliance)
    assume(0.0 <= root < sqrt(start) * (1.0 - 1e-6))
    end = root * root

    mean = b.fall_leak_l_min(compliance, start, end, minutes)
    at = b.pressure_hole_mean_kpa(start, end)
    assert b.leak_through_hole_l_min(mean, at, start) == pytest.approx(leak, rel=1e-8)


@given(leak=leaks, at=pressures, to=pressures)
def test_the_two_laws_bracket_and_meet_at_the_pressure_of_the_test(leak, at, to):
    in_step = b.leak_in_step_l_min(leak, at, to)
    hole = b.leak_through_hole_l_min(leak, at, to)

    assert (in_step >= hole * (1 - 1e-12)) if to >= at else (in_step <= hole * (1 + 1e-12))
    assert b.leak_in_step_l_min(leak, at, at) == pytest.approx(leak, rel=1e-12)
    assert b.leak_through_hole_l_min(leak, at, at) == pytest.approx(leak, rel=1e-12)


@given(leak=leaks, at=pressures, middle=pressures, to=pressures)
def test_a_leak_converted_in_two_strides_is_the_leak_converted_in_one(leak, at, middle, to):
    for law in (b.leak_in_step_l_min, b.leak_through_hole_l_min):
        twice = law(law(leak, at, middle), middle, to)
        assert twice == pytest.approx(law(leak, at, to), rel=1e-9)


@given(start=pressures, share=st.floats(1e-6, 1.0))
def test_both_means_lie_between_first_and_last_and_below_the_middle(start, share):
    end = start * share
    in_step, hole = (
        mean(start, end) for mean in (b.pressure_in_step_mean_kpa, b.pressure_hole_mean_kpa)
    )

    assert end * (1 - 1e-12) <= in_step <= hole * (1 + 1e-12)
    assert hole <= (start + end) / 2.0 * (1 + 1e-12)


@given(start=pressures, depth=st.floats(1e-7, 1e-3))
def test_a_mean_over_a_small_fall_is_its_series(start, depth):
    series = start * (1 - depth / 2 - depth**2 / 12 - depth**3 / 24)

    found = b.pressure_in_step_mean_kpa(start, start * (1 - depth))
    assert found == pytest.approx(series, rel=1e-11)


@given(
    compliance=compliances,
    start=pressures,
    shares=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
    minutes=st.floats(0.01, 10.0),
)
def test_a_deeper_fall_means_a_larger_leak_and_a_longer_time_a_smaller_one(
    compliance, start, shares, minutes
):
    shallow, deep = (start * one for one in sorted(shares, reverse=True))

    less = b.fall_leak_l_min(compliance, start, shallow, minutes)
    more = b.fall_leak_l_min(compliance, start, deep, minutes)
    assert less <= more
    assert b.fall_leak_l_min(compliance, start, deep, 2.0 * minutes) == pytest.approx(more / 2.0)


@given(st.floats(0.1, 50.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_parts_add_up_and_none_of_them_takes_away(volume, hoses, bag):
    alone = b.gas_compliance_l_kpa(volume)

    assert alone == pytest.approx(volume / 101.325, rel=1e-12)
    assert b.parts_compliance_l_kpa(volume, hoses, bag) == pytest.approx(
        alone + hoses + bag, rel=1e-12
    )


@given(st.floats(0.01, 50.0), st.floats(0.01, 100.0))
def test_a_flow_and_the_time_that_it_takes_to_fill_are_each_other_turned_round(volume, flow):
    assert b.filling_flow_l_min(volume, b.filling_min(volume, flow)) == pytest.approx(flow)


def test_a_syringe_measures_volume_over_rise():
    assert b.measured_compliance_l_kpa(0.05, 4 * CMH2O) / ML_CMH2O == pytest.approx(12.5, rel=1e-9)


def test_a_regulator_droops_and_creeps():
    assert droop_share(50.0, 45.0) == pytest.approx(0.1, rel=1e-12)
    assert droop_share(50.0, 55.0) == pytest.approx(-0.1, rel=1e-12)
    assert creep_kpa_min(350.0, 380.0, 10.0) == pytest.approx(3.0, rel=1e-12)
    assert creep_kpa_min(350.0, 340.0, 10.0) == pytest.approx(-1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("refused", "name"),
    [
        (lambda: b.fall_leak_l_min(0.0, 3.0, 2.0, 1.0), "compliance_l_kpa"),
        (lambda: b.fall_leak_l_min(0.1, 2.0, 3.0, 1.0), "end_kpa"),
        (lambda: b.fall_leak_l_min(0.1, 3.0, nan, 1.0), "end_kpa"),
        (lambda: b.fall_leak_l_min(0.1, inf, 2.0, 1.0), "start_kpa"),
        (lambda: b.fall_leak_l_min(0.1, 3.0, 2.0, 0.0), "elapsed_min"),
        (lambda: b.pressure_in_step_mean_kpa(3.0, 0.0), "end_kpa"),
        (lambda: b.pressure_hole_mean_kpa(3.0, -1.0), "end_kpa"),
        (lambda: b.leak_in_step_l_min(0.1, 0.0, 3.0), "at_kpa"),
        (lambda: b.leak_through_hole_l_min(-0.1, 2.0, 3.0), "leak_l_min"),
        (lambda: b.measured_compliance_l_kpa(0.05, -0.1), "rise_kpa"),
        (lambda: b.gas_compliance_l_kpa(nan), "volume_l"),
        (lambda: b.parts_compliance_l_kpa(5.0, -0.1), "hoses_l_kpa"),
        (lambda: b.filling_min(0.5, 0.0), "flow_l_min"),
        (lambda: b.filling_flow_l_min(0.5, -1.0), "elapsed_min"),
        (lambda: droop_share(0.0, 1.0), "still_kpa"),
        (lambda: creep_kpa_min(1.0, 2.0, 0.0), "elapsed_min"),
    ],
)
def test_a_number_outside_its_range_is_refused_by_name(refused, name):
    with pytest.raises(InvalidQuantity, match=f"^{name} is"):
        refused()

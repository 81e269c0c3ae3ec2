"""The band without dice: against paper, against dice, and its laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas, contents_l, contents_many_l
from ullage.core.supply import CylinderState, Doubt, ReserveRule, amount_bands, cylinder_bands
from ullage.core.supply.band import lattice
from ullage.core.units import PSI_KPA

HALF_E = CylinderState(
    gas=Gas.OXYGEN, water_capacity_l=4.76, gauge_kpa=1000 * PSI_KPA, temperature_k=293.15
)
TO_200_PSI = ReserveRule(pressure_kpa=200 * PSI_KPA, minutes=15)
USUAL = Doubt(gauge_kpa=75 * PSI_KPA, temperature_k=5.0, water_share=0.01, flow_sd_share=0.1)


def test_the_best_value_is_the_arithmetic_on_paper():
    # supply 2.2: 72.26 L per litre of water at 1000 psi, 14.80 at 200 psi, both at 20 °C.
    on_paper = 4.76 * (72.26 - 14.80)

    assert cylinder_bands(HALF_E, USUAL, TO_200_PSI, 1.0).minutes.middle == pytest.approx(
        on_paper, abs=0.1
    )


def test_nine_tenths_of_a_uniform_limit_lie_in_the_band():
    found = cylinder_bands(HALF_E, Doubt(gauge_kpa=75 * PSI_KPA), TO_200_PSI, 1.0).contents_l
    ends = [
        contents_l(Gas.OXYGEN, 4.76, (1000 + 0.9 * side * 75) * PSI_KPA, 293.15) for side in (-1, 1)
    ]

    assert (found.low, found.high) == pytest.approx(ends, rel=5e-4)


def test_the_band_of_a_normal_flow_alone_is_the_one_on_paper():
    found = cylinder_bands(HALF_E, Doubt(flow_sd_share=0.1), TO_200_PSI, 1.0).minutes
    # 5 and 95 % points of a standard normal: -1.6449 and 1.6449.
    assert found.low == pytest.approx(found.middle / 1.16449, rel=2e-3)
    assert found.high == pytest.approx(found.middle / (1 - 0.16449), rel=2e-3)


def test_a_flow_limit_is_uniform():
    found = cylinder_bands(HALF_E, Doubt(flow_limit_share=0.25), TO_200_PSI, 0.5).minutes

    assert found.low == pytest.approx(found.middle / (1 + 0.9 * 0.25), rel=2e-3)
    assert found.high == pytest.approx(found.middle / (1 - 0.9 * 0.25), rel=2e-3)


def test_the_lattice_gives_the_band_that_400_000_draws_give():
    rng, draws = np.random.default_rng(20251125), 400_000
    gauge, warmth, water = rng.uniform(-1, 1, (3, draws))
    at_k = 293.15 + 5.0 * warmth
    now, kept = (
        contents_many_l(Gas.OXYGEN, 4.76, reading, at_k, 101.325) * (1 + 0.01 * water)
        for reading in (1000 * PSI_KPA + 75 * PSI_KPA * gauge, np.full(draws, 200 * PSI_KPA))
    )
    lasts = (now - kept) / (1 + 0.1 * rng.standard_normal(draws))

    found = cylinder_bands(HALF_E, USUAL, TO_200_PSI, 1.0).minutes

    assert (found.low, found.high) == pytest.approx(np.quantile(lasts, [0.05, 0.95]), rel=4e-3)


def unevenness(step):
    """P2 of a lattice of 1021 points in four dimensions: 0 were perfectly even."""
    index, product = np.arange(1021), np.ones(1021)
    for power in range(4):
        place = index * pow(step, power, 1021) % 1021 / 1021
        product *= 1 + 2 * np.pi**2 * (place**2 - place + 1 / 6)
    return product.mean() - 1


def test_no_other_lattice_of_that_form_is_more_even():
    assert unevenness(270) == pytest.approx(min(unevenness(step) for step in range(2, 1020)))


def test_the_lattice_is_even_in_every_direction():
    points = np.array(lattice())

    assert points.shape == (1021, 4)
    assert np.abs(points[:, :3].mean(axis=0)).max() < 1e-9
    assert points[:, :3].var(axis=0) == pytest.approx(1 / 3, rel=1e-3)
    assert points[:, 3].std() == pytest.approx(1.0, rel=5e-3)


@settings(max_examples=25, deadline=None)
@given(st.floats(500, 15_000), st.floats(0.2, 20))
def test_twice_the_flow_lasts_half_as_long_in_every_point_of_the_band(gauge, flow):
    state = CylinderState(
        gas=Gas.OXYGEN, water_capacity_l=10.0, gauge_kpa=gauge, temperature_k=293.15
    )
    rule = ReserveRule(pressure_kpa=1379)
    once, twice = (cylinder_bands(state, USUAL, rule, one).minutes for one in (flow, 2 * flow))

    assert (2 * twice.low, 2 * twice.middle, 2 * twice.high) == pytest.approx(
        (once.low, once.middle, once.high)
    )


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 400), st.floats(0, 400))
def test_a_coarser_gauge_never_narrows_the_band(one, other):
    fine, coarse = sorted((one, other))
    narrow, wide = (
        cylinder_bands(HALF_E, Doubt(gauge_kpa=doubt), TO_200_PSI, 1.0).minutes
        for doubt in (fine, coarse)
    )

    assert wide.low <= narrow.low + 1e-9
    assert wide.high >= narrow.high - 1e-9


def test_at_the_reserve_nothing_is_left_and_the_band_stops_at_zero():
    state = CylinderState(
        gas=Gas.OXYGEN, water_capacity_l=4.76, gauge_kpa=200 * PSI_KPA, temperature_k=293.15
    )
    found = cylinder_bands(state, USUAL, TO_200_PSI, 1.0).minutes

    assert (found.low, found.middle) == (0.0, 0.0)
    assert found.high > 0


@pytest.mark.parametrize("gauge_psi", [30, 200, 1000, 2900])
def test_the_parabolas_between_exact_points_are_as_good_as_exact(gauge_psi):
    state = CylinderState(
        gas=Gas.OXYGEN, water_capacity_l=1.0, gauge_kpa=gauge_psi * PSI_KPA, temperature_k=293.15
    )
    found = cylinder_bands(state, Doubt(gauge_kpa=1000.0, temperature_k=5.0), TO_200_PSI, 1.0)
    exact = sorted(
        contents_l(
            Gas.OXYGEN, 1.0, max(state.gauge_kpa + 1000.0 * gauge, 0.0), 293.15 + 5.0 * warmth
        )
        for gauge, warmth, _, _ in lattice()
    )
    place = 0.05 * len(exact) - 0.5
    low = exact[int(place)] + (place - int(place)) * (exact[int(place) + 1] - exact[int(place)])

    assert found.contents_l.low == pytest.approx(low, rel=5e-5)
    assert found.contents_l.middle == pytest.approx(
        contents_l(Gas.OXYGEN, 1.0, state.gauge_kpa, 293.15)
    )


def test_four_cylinders_on_one_gauge_last_four_times_as_long():
    four = CylinderState(
        gas=Gas.OXYGEN,
        water_capacity_l=4.76,
        gauge_kpa=HALF_E.gauge_kpa,
        temperature_k=293.15,
        count=4,
    )
    one = cylinder_bands(HALF_E, USUAL, TO_200_PSI, 1.0).usable_l

    assert cylinder_bands(four, USUAL, TO_200_PSI, 1.0).usable_l.high == pytest.approx(4 * one.high)


def test_an_amount_that_was_weighed_has_the_band_on_paper():
    found = amount_bands(800.0, 100.0, 50.0, Doubt(), 2.0)

    assert (found.contents_l.low, found.contents_l.high) == pytest.approx((710, 890), abs=0.3)
    assert (found.minutes.low, found.minutes.high) == pytest.approx((330, 420), abs=0.2)
    assert found.kept_l.low == found.kept_l.high == 50.0


def test_an_amount_is_never_below_nothing():
    assert amount_bands(10.0, 100.0, 0.0, Doubt(), 1.0).contents_l.low == 0.0


@pytest.mark.parametrize("flow", [0.0, -1.0, float("nan")])
def test_a_flow_that_is_no_flow_is_refused(flow):
    with pytest.raises(InvalidQuantity, match="flow_l_min"):
        cylinder_bands(HALF_E, USUAL, TO_200_PSI, flow)


def test_a_doubt_beyond_reason_is_refused():
    with pytest.raises(InvalidQuantity, match=r"water_share is 0\.9"):
        Doubt(water_share=0.9)
    with pytest.raises(InvalidQuantity, match="gauge_kpa is nan"):
        Doubt(gauge_kpa=float("nan"))

from math import pi, sqrt

import numpy as np
import pytest
from CoolProp.CoolProp import PT_INPUTS, AbstractState, PSmass_INPUTS
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.core.gas.ranges import permanent
from ullage.core import gas as g
from ullage.core.errors import GaugeCannotTell, InvalidQuantity
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA, STANDARD_ATMOSPHERE_KPA, celsius

ROOM_K = 294.2611
LINE_KPA = 50.0 * PSI_KPA


# Supply section 7.1: holes in mm at 50 psi, oxygen, Cd 0.61 and 1.0; choked-flow formula S59.
@pytest.mark.parametrize(
    ("hole", "coefficient", "printed"),
    [(0.05, 0.61, 0.060), (0.1, 0.61, 0.24), (0.2, 0.61, 0.96), (0.5, 1.0, 9.80), (1.0, 0.8, 31.4)],
)
def test_a_hole_lets_through_what_the_fact_base_prints(hole, coefficient, printed):
    found = g.orifice_flow_l_min(Gas.OXYGEN, hole, coefficient, LINE_KPA, ROOM_K)

    assert found == pytest.approx(printed, rel=0.01)


# S58 prints 0.229 and 3.66 scfm for 1/64 and 1/16 inch at 50 psi, Cd 1, air.
@pytest.mark.published("supply_S58")
@pytest.mark.parametrize(("inch", "scfm"), [(1 / 64, 0.229), (1 / 16, 3.66)])
def test_air_through_a_rounded_hole_is_what_a_table_prints(inch, scfm):
    found = g.orifice_flow_l_min(Gas.AIR, 25.4 * inch, 1.0, LINE_KPA, ROOM_K)

    assert found / 28.316846592 == pytest.approx(scfm, rel=0.01)


def test_choked_flow_is_the_formula_on_paper():
    k, before = g.heat_capacity_ratio(Gas.NITROGEN), 1e6
    dense = g.density_kg_m3(Gas.NITROGEN, ROOM_K, before / 1000.0)
    kg_s = pi / 4 * 1e-6 * sqrt(k * dense * before) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))
    litres = 60.0 * kg_s * g.litres_per_kg(Gas.NITROGEN)

    found = g.orifice_flow_l_min(Gas.NITROGEN, 1.0, 1.0, 1000.0 - 101.325, ROOM_K)
    assert found == pytest.approx(litres, rel=1e-9)


def along_the_real_isentrope(gauge_kpa):
    """Oxygen through 1 mm by the library: the largest flux on the way down to the room."""
    state = AbstractState("HEOS", "Oxygen")
    before = 1000.0 * (gauge_kpa + STANDARD_ATMOSPHERE_KPA)
    state.update(PT_INPUTS, before, ROOM_K)
    heat, entropy = state.hmass(), state.smass()
    flux = []
    for share in np.linspace(0.99, 0.35, 200):
        state.update(PSmass_INPUTS, max(before * share, 101_325.0), entropy)
        flux.append(state.rhomass() * sqrt(2.0 * (heat - state.hmass())))
    return max(flux) * pi / 4.0 * 1e-6 * 60.0 * g.litres_per_kg(Gas.OXYGEN)


@pytest.mark.comparison
@pytest.mark.parametrize(
    ("gauge", "wrong_percent"), [(100.0, 0.0), (1000.0, -0.2), (6895.0, -1.6), (13_790.0, -4.0)]
)
def test_a_hole_at_high_pressure_is_understated_by_what_we_say(gauge, wrong_percent):
    found = g.orifice_flow_l_min(Gas.OXYGEN, 1.0, 1.0, gauge, ROOM_K)
    wrong = 100.0 * (found / along_the_real_isentrope(gauge) - 1.0)

    assert wrong == pytest.approx(wrong_percent, abs=0.1)


@given(permanent, st.floats(0.0, 15_000.0), st.floats(1.0, 100.0))
def test_more_pressure_lets_more_through(gas, gauge, more):
    def flow(at):
        return g.orifice_flow_l_min(gas, 0.3, 0.7, at, ROOM_K)

    assert flow(gauge + more) > flow(gauge)


@given(permanent)
def test_flow_does_not_jump_where_it_chokes(gas):
    chokes = g.choking_gauge_kpa(g.heat_capacity_ratio(gas))
    below, above = (
        g.orifice_flow_l_min(gas, 0.3, 0.7, chokes * step, ROOM_K) for step in (0.99999, 1.00001)
    )

    assert above == pytest.approx(below, rel=1e-4)


def test_below_choking_a_hole_follows_the_square_root_of_a_small_pressure():
    one, four = (g.orifice_flow_l_min(Gas.AIR, 1.0, 1.0, kpa, ROOM_K) for kpa in (0.1, 0.4))

    assert four / one == pytest.approx(2.0, rel=0.01)
    assert g.orifice_flow_l_min(Gas.AIR, 1.0, 1.0, 0.0, ROOM_K) == 0.0


@given(st.floats(0.01, 2.0), st.floats(0.1, 1.0))
def test_twice_the_hole_lets_four_times_through(hole, coefficient):
    once = g.orifice_flow_l_min(Gas.OXYGEN, hole, coefficient, LINE_KPA, ROOM_K)
    twice = g.orifice_flow_l_min(Gas.OXYGEN, 2.0 * hole, coefficient, LINE_KPA, ROOM_K)

    assert twice == pytest.approx(4.0 * once)


# S23 and S24: 100 psi in 5 min passes; what that is depends on the volume trapped (supply 7.2).
@pytest.mark.published("supply_S24")
@pytest.mark.parametrize(("trapped_l", "ml_min"), [(0.02, 27), (0.05, 68)])
def test_the_leak_of_a_passed_test_depends_on_the_trapped_volume(trapped_l, ml_min):
    found = g.pressure_decay_leak_l_min(trapped_l, 100.0 * PSI_KPA, 5.0)

    assert 1000.0 * found == pytest.approx(ml_min, abs=0.5)


def test_the_same_fall_with_the_cylinder_open_is_a_huge_leak():
    found = g.contents_leak_l_min(Gas.OXYGEN, 4.76, 2000.0 * PSI_KPA, 1900.0 * PSI_KPA, 293.15, 5.0)

    assert found == pytest.approx(7.08, rel=0.02)


@given(st.floats(0.01, 5.0), st.floats(10.0, 300.0), st.floats(1.0, 60.0))
def test_at_low_pressure_the_real_and_the_ideal_decay_agree(volume, fall, minutes):
    ideal = g.pressure_decay_leak_l_min(volume, fall, minutes)
    real = g.contents_leak_l_min(Gas.NITROGEN, volume, 400.0, 400.0 - fall, ROOM_K, minutes)

    assert real == pytest.approx(ideal, rel=0.01)


def test_a_rise_is_a_negative_leak_and_not_hidden():
    assert g.contents_leak_l_min(Gas.OXYGEN, 4.76, 10_000.0, 10_100.0, 293.15, 10.0) < 0.0


def test_the_leak_of_a_liquefied_gas_is_not_told_by_its_gauge():
    with pytest.raises(GaugeCannotTell, match="weigh it"):
        g.contents_leak_l_min(Gas.NITROUS_OXIDE, 4.76, 5100.0, 5000.0, 293.15, 60.0)


@given(st.floats(1.05, 1.7))
def test_the_critical_ratio_lies_between_helium_and_steam(k):
    assert 0.48 < g.critical_pressure_ratio(k) < 0.6
    choking = g.choking_gauge_kpa(k) + STANDARD_ATMOSPHERE_KPA
    assert choking * g.critical_pressure_ratio(k) == pytest.approx(STANDARD_ATMOSPHERE_KPA)


@given(st.floats(1.05, 1.7), st.floats(200.0, 350.0), st.floats(50.0, 500.0), st.floats(1.0, 200.0))
def test_sudden_pressure_heats_and_its_release_cools_back(k, start, low, times):
    assume(times > 1.001)
    hot = g.adiabatic_temperature_k(k, start, low, low * times)

    assert hot > start
    assert g.adiabatic_temperature_k(k, hot, low * times, low) == pytest.approx(start)


# Supply section 4.4: from 1 atm to 50 psi about 175 °C as an upper bound; computed.
def test_even_line_pressure_heats_gas_that_meets_it_at_once():
    hot = g.adiabatic_temperature_k(1.395, ROOM_K, 101.325, 101.325 + LINE_KPA)

    assert celsius(hot) == pytest.approx(175.0, abs=1.0)


@pytest.mark.parametrize("wrong", [1.0, 0.5, float("nan"), float("inf")])
def test_a_heat_capacity_ratio_that_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="heat_capacity_ratio"):
        g.critical_pressure_ratio(wrong)
    with pytest.raises(InvalidQuantity, match="heat_capacity_ratio"):
        g.adiabatic_temperature_k(wrong, 293.15, 100.0, 200.0)


@pytest.mark.parametrize(
    ("place", "wrong", "said"),
    [
        (0, 0.0, "diameter_mm is 0"),
        (1, 1.2, "discharge_coefficient is 1.2; it must be between 0 and 1"),
        (2, -1.0, "gauge_kpa is -1"),
        (3, float("nan"), "temperature_k is nan"),
        (4, 0.0, "ambient_kpa is 0"),
    ],
)
def test_what_no_hole_can_be_is_refused(place, wrong, said):
    right = [0.5, 0.61, LINE_KPA, ROOM_K, 101.325]
    right[place] = wrong

    with pytest.raises(InvalidQuantity, match=said):
        g.orifice_flow_l_min(Gas.OXYGEN, *right)


@pytest.mark.parametrize(
    ("place", "wrong", "said"),
    [(0, 0.0, "volume_l is 0"), (1, -1.0, "fall_kpa is -1"), (2, 0.0, "elapsed_min is 0")],
)
def test_what_no_test_of_a_section_can_be_is_refused(place, wrong, said):
    right = [0.05, 100.0, 5.0]
    right[place] = wrong

    with pytest.raises(InvalidQuantity, match=said):
        g.pressure_decay_leak_l_min(*right)


def test_no_time_no_leak():
    with pytest.raises(InvalidQuantity, match="elapsed_min is 0"):
        g.contents_leak_l_min(Gas.OXYGEN, 4.76, 2000.0, 1900.0, 293.15, 0.0)

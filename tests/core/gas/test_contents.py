import pickle

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.core.gas.ranges import (
    IMPOSSIBLE,
    LIQUEFIED,
    ambients_kpa,
    conditions,
    gauges_kpa,
    kelvins,
    permanent,
    water_l,
)
from ullage.core import gas as g
from ullage.core.errors import GaugeCannotTell, InvalidQuantity
from ullage.core.gas import C0, C15, F70, Gas, tables
from ullage.core.units import PSI_KPA, kelvin

E_L = 4.76


# Supply section 1.1 and S2: 660 L in a 4.76 L cylinder at 1900 psi and 70 °F; by the equation 659.
@pytest.mark.published("supply_S2")
def test_a_full_e_cylinder_holds_what_its_table_prints():
    held = g.contents_l(Gas.OXYGEN, E_L, 1900.0 * PSI_KPA, F70.temperature_k)

    assert held == pytest.approx(660.0, rel=0.01)
    assert round(held) == 659


# Supply section 2.6: at 40 °C, 2000 psi and 20 °C among them; computed with the library.
@pytest.mark.comparison
@pytest.mark.parametrize(
    ("psi", "celsius", "litres"),
    [(200, 0, 15.95), (500, 20, 35.96), (1500, 30, 104.7), (2200, 40, 147.4)],
)
def test_free_oxygen_of_a_litre_is_that_of_the_printed_table(psi, celsius, litres):
    held = g.contents_l(Gas.OXYGEN, 1.0, psi * PSI_KPA, kelvin(celsius))

    assert held == pytest.approx(litres, rel=0.0005)


@given(permanent, water_l, kelvins, ambients_kpa, conditions)
def test_at_zero_gauge_the_last_atmosphere_is_left(gas, water, temperature, ambient, condition):
    held = g.contents_l(gas, water, 0.0, temperature, ambient, condition)
    ideal = water * ambient / 101.325 * condition.temperature_k / temperature

    assert held == pytest.approx(ideal, rel=0.003)


@given(permanent, water_l, gauges_kpa, kelvins, ambients_kpa, conditions)
def test_the_gauge_is_found_back_from_the_contents(
    gas, water, gauge, temperature, ambient, condition
):
    held = g.contents_l(gas, water, gauge, temperature, ambient, condition)
    back = g.gauge_kpa_from_contents(gas, water, held, temperature, ambient, condition)

    assert back == pytest.approx(gauge, abs=1e-6)


@given(permanent, water_l, gauges_kpa, gauges_kpa, kelvins, ambients_kpa)
def test_a_higher_gauge_means_more(gas, water, one, other, temperature, ambient):
    low, high = sorted((one, other))
    assume(high - low > 1e-6)

    def held(gauge):
        return g.contents_l(gas, water, gauge, temperature, ambient)

    assert held(low) < held(high)


@given(permanent, water_l, gauges_kpa, kelvins)
def test_twice_the_cylinder_holds_twice_as_much(gas, water, gauge, temperature):
    once = g.contents_l(gas, water, gauge, temperature)

    assert g.contents_l(gas, 2.0 * water, gauge, temperature) == pytest.approx(2.0 * once)


@given(permanent, water_l, gauges_kpa, gauges_kpa, gauges_kpa, kelvins)
def test_emptying_in_two_steps_gives_the_same(gas, water, one, two, three, temperature):
    low, middle, high = sorted((one, two, three))

    def given_off(first, last):
        return g.deliverable_l(gas, water, first, last, temperature)

    both = given_off(high, middle) + given_off(middle, low)
    assert both == pytest.approx(given_off(high, low), rel=1e-9, abs=1e-6)


def test_below_the_stop_nothing_is_delivered():
    assert g.deliverable_l(Gas.OXYGEN, E_L, 1000.0, 1379.0, 293.15) == 0.0


@given(permanent, gauges_kpa, kelvins, kelvins, ambients_kpa)
def test_warmth_alone_is_undone_by_cold_alone(gas, gauge, first, second, ambient):
    assume(gauge * second / first < 24_000.0)
    there = g.gauge_at_temperature_kpa(gas, gauge, first, second, ambient)
    assume(0.0 <= there <= 31_000.0)

    back = g.gauge_at_temperature_kpa(gas, there, second, first, ambient)
    assert back == pytest.approx(gauge, abs=1e-5)


@given(permanent, gauges_kpa)
def test_a_warmer_cylinder_reads_higher(gas, gauge):
    assume(500.0 < gauge < 20_000.0)

    assert g.gauge_at_temperature_kpa(gas, gauge, 283.15, 303.15) > gauge


def test_the_ideal_law_understates_a_full_oxygen_cylinder_by_six_percent():
    gauge = 2200.0 * PSI_KPA
    ideal = g.ideal_contents_l(1.0, gauge, F70.temperature_k)

    assert ideal / g.contents_l(Gas.OXYGEN, 1.0, gauge, F70.temperature_k) == pytest.approx(
        1.0 - 0.062, abs=0.001
    )


@given(st.floats(0.0, 1e5), conditions, conditions)
def test_litres_counted_at_another_condition_and_back_are_the_same(litres, one, other):
    there = g.volume_at_condition_l(litres, one, other)

    assert g.volume_at_condition_l(there, other, one) == pytest.approx(litres, rel=1e-12)


def test_more_litres_are_counted_where_they_are_counted_warm():
    held = {
        one: g.contents_l(Gas.OXYGEN, E_L, 13_100.0, 293.15, condition=one)
        for one in (F70, C15, C0)
    }

    assert held[F70] > held[C15] > held[C0]


@given(permanent, st.lists(st.tuples(gauges_kpa, kelvins), min_size=1, max_size=6))
def test_many_readings_are_the_same_as_one_by_one(gas, readings):
    gauges, temperatures = zip(*readings, strict=True)
    one_by_one = [g.contents_l(gas, E_L, gauge, at, 95.0) for gauge, at in readings]
    found = g.contents_many_l(gas, E_L, gauges, temperatures, 95.0)

    assert found == pytest.approx(one_by_one, rel=1e-12)
    back = g.gauge_kpa_from_contents_many(gas, E_L, found, temperatures, 95.0)
    assert back == pytest.approx(gauges, abs=1e-5)


def test_capacity_temperature_and_ambient_may_all_be_many():
    waters = np.array([[1.0], [4.76]])
    gauges = np.array([100.0, 5000.0, 15_000.0])
    held = g.contents_many_l(Gas.AIR, waters, gauges, 293.15, np.array([70.0, 85.0, 101.0]))

    assert held.shape == (2, 3)
    assert held[1, 1] == pytest.approx(g.contents_l(Gas.AIR, 4.76, 5000.0, 293.15, 85.0))
    back = g.gauge_kpa_from_contents_many(Gas.AIR, waters, held, 293.15, [70.0, 85.0, 101.0])
    assert back == pytest.approx(np.broadcast_to(gauges, (2, 3)), abs=1e-6)


def test_a_reading_drawn_below_zero_is_taken_down_to_a_vacuum():
    held = g.contents_many_l(Gas.OXYGEN, 1.0, [-101.325, -50.0, 0.0], F70.temperature_k)

    assert held[0] == 0.0
    assert held[1] == pytest.approx(0.5065, abs=0.001)
    assert held[2] == pytest.approx(1.0, abs=1e-9)


def test_less_than_the_last_atmosphere_reads_below_zero():
    assert g.gauge_kpa_from_contents(Gas.OXYGEN, 1.0, 0.0, 293.15) == -101.325
    half = g.gauge_kpa_from_contents(Gas.OXYGEN, 1.0, 0.5, F70.temperature_k)
    assert half == pytest.approx(-50.66, abs=0.03)


def test_the_inputs_are_left_as_they_were():
    gauges, temperatures = np.array([100.0, 200.0]), np.array([290.0, 300.0])
    g.contents_many_l(Gas.OXYGEN, 4.76, gauges, temperatures)

    assert gauges.tolist() == [100.0, 200.0]
    assert temperatures.tolist() == [290.0, 300.0]


@pytest.mark.parametrize("wrong", IMPOSSIBLE)
@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("water_capacity_l", "a number above 0"),
        ("gauge_kpa", "between 0 and 31000"),
        ("temperature_k", "between 233.15 and 343.15"),
        ("ambient_kpa", "between 30 and 120"),
    ],
)
def test_what_cannot_stand_in_a_room_is_refused_by_name(name, said, wrong):
    right = {
        "water_capacity_l": 4.76,
        "gauge_kpa": 13_100.0,
        "temperature_k": 293.15,
        "ambient_kpa": 101.325,
    }

    with pytest.raises(InvalidQuantity, match=f"{name} is .*; it must be {said}"):
        g.contents_l(Gas.OXYGEN, **{**right, name: wrong})


def test_more_than_a_cylinder_can_hold_is_refused_with_what_it_can():
    with pytest.raises(InvalidQuantity, match=r"contents_l is 2000; it must be at most 1500"):
        g.gauge_kpa_from_contents(Gas.OXYGEN, 4.76, 2000.0, 293.15)
    with pytest.raises(InvalidQuantity, match="contents over what the tables reach is 1"):
        g.gauge_kpa_from_contents_many(Gas.OXYGEN, 4.76, [100.0, 2000.0], 293.15)
    with pytest.raises(InvalidQuantity, match="contents over what the tables reach is -"):
        g.gauge_kpa_from_contents_many(Gas.OXYGEN, 4.76, [100.0, -1.0], 293.15)


@pytest.mark.parametrize("gas", LIQUEFIED)
def test_a_liquefied_gas_is_not_planned_by_its_gauge(gas):
    full = g.saturation_kpa(gas, 293.15) - 101.325

    with pytest.raises(GaugeCannotTell, match="weigh it"):
        g.contents_l(gas, 4.76, full, 293.15)
    with pytest.raises(InvalidQuantity, match="saturation pressure"):
        g.contents_many_l(gas, 4.76, [100.0, full + 20.0], 293.15)


@pytest.mark.parametrize("gas", LIQUEFIED)
@given(st.floats(20.0, 4700.0))
def test_vapour_alone_is_told_by_its_gauge_and_back(gas, gauge):
    temperature = 295.15 if gas is Gas.CARBON_DIOXIDE else 293.15
    held = g.contents_l(gas, 4.76, gauge, temperature)

    assert g.contents_many_l(gas, 4.76, gauge, temperature) == pytest.approx(held, rel=1e-12)
    assert g.gauge_kpa_from_contents(gas, 4.76, held, temperature) == pytest.approx(gauge, abs=1e-6)
    many = g.gauge_kpa_from_contents_many(gas, 4.76, [held], [temperature])
    assert many == pytest.approx([gauge], abs=1e-6)


@pytest.mark.parametrize("gas", LIQUEFIED)
def test_with_liquid_left_the_gauge_stands_at_saturation(gas):
    stands = g.saturation_kpa(gas, 293.15) - 101.325

    for held in (700.0, 1200.0, 1590.0):
        assert g.gauge_kpa_from_contents(gas, 4.76, held, 293.15) == pytest.approx(stands)
    many = g.gauge_kpa_from_contents_many(gas, 4.76, [700.0, 1590.0], 293.15)
    assert many == pytest.approx([stands, stands])


def test_too_much_liquid_is_refused_for_many_and_found_by_the_library_for_one():
    overfull = 4.76 * 850.0 * g.litres_per_kg(Gas.NITROUS_OXIDE) / 1000.0

    with pytest.raises(InvalidQuantity, match="full of liquid"):
        g.gauge_kpa_from_contents_many(Gas.NITROUS_OXIDE, 4.76, [overfull], 293.15)
    alone = g.gauge_kpa_from_contents(Gas.NITROUS_OXIDE, 4.76, overfull, 293.15)
    assert alone > 9000.0


def test_an_error_survives_pickling_with_its_parts():
    with pytest.raises(InvalidQuantity, match="gauge_kpa") as caught:
        g.contents_l(Gas.OXYGEN, 4.76, 40_000.0, 293.15)

    again = pickle.loads(pickle.dumps(caught.value))  # noqa: S301  # our own bytes
    assert (again.name, again.value) == ("gauge_kpa", 40_000.0)


def test_the_tables_reach_beyond_every_room_and_gauge_in_use():
    assert kelvin(-30.0) >= tables.LOW_K
    assert kelvin(65.0) <= tables.HIGH_K
    assert tables.HIGH_KPA >= 30_000.0 + 106.0

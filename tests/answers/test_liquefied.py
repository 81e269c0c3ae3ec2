"""Liquefied gases: what a scale tells, what a gauge leaves open, and the question that settles."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.paper import C15_K, density, litres, litres_per_kg
from ullage.answers import Verdict, cylinder_contents, cylinder_lasts
from ullage.answers.asked import OtherDemand
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.gas import C15, F70, Gas

BLUE = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.2, full_scale_kpa=10_000.0)
GREY = Cylinder(gas=Gas.CARBON_DIOXIDE, water_capacity_l=10.0, full_scale_kpa=25_000.0)
US = Place(condition=F70)
NOTHING_KEPT = ReservePolicy(pressure_kpa=0.0)


def weighed(kg, **more):
    return Reading(at_min=0.0, weight_kg=kg, **more)


def gauged(kpa, celsius=20.0):
    return Reading(at_min=0.0, gauge_kpa=kpa, temperature_k=273.15 + celsius)


@pytest.mark.comparison
@pytest.mark.parametrize(("condition", "kelvin"), [(F70, 294.2611), (C15, C15_K)])
def test_a_weight_is_turned_into_gas_by_its_density(condition, kelvin):
    found = cylinder_contents(BLUE, weighed(8.2), Place(condition=condition))

    assert found.value == pytest.approx(2.0 * litres_per_kg("nitrous oxide", kelvin), rel=2e-3)


def test_the_band_of_a_weight_is_that_of_its_scale():
    found = cylinder_contents(BLUE, weighed(8.2), US)
    per_kg = litres_per_kg("nitrous oxide")

    # ± 0.1 kg, a limit: nine tenths of it lie between the 5 and 95 % points.
    assert (found.high - found.low) / 2 == pytest.approx(0.9 * 0.1 * per_kg, rel=0.03)
    assert found.steps[0].what.startswith("8.2 kg less 6.2 kg tare")
    assert "weight ± 0.1 kg" in found.steps[0].note


def test_by_weight_it_lasts_as_long_as_what_is_above_the_reserve():
    found = cylinder_lasts(BLUE, weighed(8.2), 2.0, ReservePolicy(volume_l=100.0), US)
    # Kept are 100 L above the vapour that stays when the gauge is at zero.
    kept = 100 + litres(4.7, 0.0, 293.15, gas="nitrous oxide")
    inside = 2.0 * litres_per_kg("nitrous oxide")

    assert found.value == pytest.approx((inside - kept) / 2, rel=2e-3)
    assert found.verdict is Verdict.FINE
    assert found.views == ()


def test_at_the_pressure_of_a_rule_only_vapour_is_left():
    rule = ReservePolicy(pressure_kpa=1400.0)
    found = cylinder_lasts(BLUE, weighed(8.2, temperature_k=293.15), 2.0, rule, US)
    vapour = litres(4.7, 1400.0, 293.15, gas="nitrous oxide")
    inside = 2.0 * litres_per_kg("nitrous oxide")

    assert found.value == pytest.approx((inside - vapour) / 2, rel=5e-3)


def test_a_rule_above_saturation_keeps_the_vapour_of_the_last_drop():
    high, higher = (
        cylinder_lasts(BLUE, weighed(8.2), 2.0, ReservePolicy(pressure_kpa=kpa)).value
        for kpa in (6000.0, 9000.0)
    )

    assert high == pytest.approx(higher)
    assert high > 0


def test_at_its_reserve_a_weighed_cylinder_is_a_stop():
    found = cylinder_lasts(BLUE, weighed(6.3), 2.0, ReservePolicy(volume_l=100.0))

    assert found.value == 0.0
    assert (found.verdict, found.todo) == (Verdict.STOP, "Change the cylinder before you begin.")
    assert found.sentence.startswith("Nitrous oxide has reached what is kept back")


def test_within_the_error_of_the_scale_of_its_reserve_it_may_already_be_there():
    per_kg = litres_per_kg("nitrous oxide")
    rule = ReservePolicy(volume_l=1.95 * per_kg)
    found = cylinder_lasts(BLUE, weighed(8.2), 2.0, rule)

    assert found.value > 0
    assert found.verdict is Verdict.STOP
    assert found.todo.startswith("It may already be at what is kept back")


@pytest.mark.parametrize(
    ("kpa", "celsius", "told"),
    [
        (4950.0, 20.0, False),  # 5053 kPa absolute at 20 °C (CoolProp): saturated
        (4700.0, 20.0, False),  # within 2.5 % of scale and a degree of it
        (4400.0, 20.0, True),  # 4751 kPa absolute at most; 4939 are saturated at 19 °C
        (3000.0, 20.0, True),
        (3000.0, 0.0, False),  # 3122 kPa absolute at 0 °C: saturated in the cold
        (500.0, 0.0, True),
    ],
)
def test_a_gauge_tells_only_where_surely_no_liquid_is_left(kpa, celsius, told):
    found = cylinder_contents(replace(BLUE, tare_kg=None), gauged(kpa, celsius))

    assert (found.value is not None) is told
    assert bool(found.settles) is not told
    assert (found.verdict is Verdict.LOOK_AGAIN) is not told


@pytest.mark.comparison
@pytest.mark.parametrize("kpa", [500.0, 1500.0, 3000.0])
def test_below_saturation_the_vapour_is_counted_by_its_density(kpa):
    found = cylinder_contents(BLUE, gauged(kpa), US)

    assert found.value == pytest.approx(litres(4.7, kpa, 293.15, gas="nitrous oxide"), rel=2e-3)
    assert found.low < found.value < found.high


def test_what_a_gauge_leaves_open_lies_between_the_last_drop_and_the_highest_filling():
    from CoolProp.CoolProp import PropsSI

    found = cylinder_contents(BLUE, Reading(at_min=0, temperature_k=293.15), US)
    # The liquid just gone at the colder end, 19 °C: saturated vapour fills the cylinder.
    vapour = PropsSI("D", "T", 292.15, "Q", 1, "NitrousOxide")
    free = density("nitrous oxide", 101.325, 294.2611)

    assert found.low == pytest.approx(4.7 * vapour / free, rel=0.02)
    assert found.high == pytest.approx(0.75 * 4.7 * litres_per_kg("nitrous oxide"), rel=0.01)


def test_a_gauge_that_may_read_too_high_lowers_the_least():
    found = cylinder_contents(BLUE, gauged(4950.0), US)
    # Truly 2.5 % of 10 000 kPa lower: vapour alone at 4700 kPa.
    assert found.low == pytest.approx(litres(4.7, 4700.0, 293.15, gas="nitrous oxide"), rel=5e-3)


def test_the_range_of_minutes_is_that_of_the_litres_above_the_reserve():
    litres_open = cylinder_contents(BLUE, gauged(4950.0), US)
    minutes_open = cylinder_lasts(BLUE, gauged(4950.0), 2.0, ReservePolicy(volume_l=100.0), US)

    kept = 100 + litres(4.7, 0.0, 293.15, gas="nitrous oxide")

    assert minutes_open.low == pytest.approx((litres_open.low - kept) / 2, rel=1e-3)
    assert minutes_open.high == pytest.approx((litres_open.high - kept) / 2, rel=1e-3)
    assert minutes_open.unit == "min"


def test_drive_gas_and_leak_shorten_a_range_too():
    alone = cylinder_lasts(BLUE, gauged(4950.0), 1.0, NOTHING_KEPT)
    shared = cylinder_lasts(
        BLUE, gauged(4950.0), 1.0, NOTHING_KEPT, other=OtherDemand(drive_l_min=2, leak_l_min=1)
    )

    assert alone.high == pytest.approx(4 * shared.high)
    assert shared.question.endswith(
        "at 1 L/min and 2 L/min to drive the ventilator and 1 L/min leaking?"
    )


@pytest.mark.parametrize(
    ("cylinder", "reading", "settles"),
    [
        (BLUE, gauged(4950.0), "What does it weigh, and what is its tare?"),
        (BLUE, Reading(at_min=0), "What does it weigh, and what is its tare?"),
        (replace(BLUE, tare_kg=None), weighed(8.2), "What tare is stamped on it?"),
        (GREY, gauged(5600.0), "What does it weigh, and what is its tare?"),
    ],
)
def test_the_question_that_settles_it_is_asked(cylinder, reading, settles):
    for found in (cylinder_contents(cylinder, reading), cylinder_lasts(cylinder, reading, 1.0)):
        assert found.value is None
        assert found.settles == settles
        assert found.low < found.high
        assert found.todo == "Weigh it: gross weight less the tare stamped on the shoulder."


def test_carbon_dioxide_is_named_in_its_own_answer():
    found = cylinder_lasts(GREY, gauged(5600.0), 1.0)

    assert found.reasons == (
        "Carbon dioxide stands at one pressure as long as any liquid is left.",
    )


def test_a_cylinder_that_grows_cold_is_warned_of_by_weight_and_by_gauge():
    for reading in (weighed(8.2), gauged(1500.0), gauged(4950.0)):
        cautions = cylinder_lasts(BLUE, reading, 1.0).cautions
        assert any("grows cold and its gauge sags" in line for line in cautions)


@settings(max_examples=25, deadline=None)
@given(st.floats(6.3, 10.0), st.floats(6.3, 10.0))
def test_a_heavier_cylinder_never_lasts_shorter(one, other):
    light, heavy = (cylinder_lasts(BLUE, weighed(kg), 2.0).value for kg in sorted((one, other)))

    assert light <= heavy


@settings(max_examples=25, deadline=None)
@given(st.floats(6.2, 10.0), st.floats(0.2, 15.0))
def test_the_band_holds_the_value(kg, flow):
    found = cylinder_lasts(BLUE, weighed(kg), flow)

    assert 0.0 <= found.low <= found.value <= found.high
    assert (found.verdict is Verdict.STOP) is (found.low <= 0)

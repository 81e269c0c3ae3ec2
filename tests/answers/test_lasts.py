"""How long a cylinder lasts, in numbers worked out apart from the package and in words."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import Verdict, cylinder_contents, cylinder_lasts
from ullage.answers.asked import OtherDemand
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import C15, F70, Gas
from ullage.core.units import PSI_KPA, kelvin

E_US = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76, capacity_source="supply_S2 computed")
N2O_E = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.76, tare_kg=6.0)
US = Place(condition=F70, pressure_unit="psi")


def read(psi, **more):
    return Reading(at_min=0.0, gauge_kpa=psi * PSI_KPA, **more)


def test_half_an_e_at_one_litre_lasts_274_minutes_to_200_psi():
    # 4.76 L x (72.26 - 14.80) L/L at 20 °C, supply 2.2: 273.5 min.
    answer = cylinder_lasts(E_US, read(1000), 1.0, place=US)

    assert answer.value == pytest.approx(273.5, abs=0.1)
    assert answer.low < 250
    assert answer.high > 300


# supply_checks C034: 131.90 L per litre of water from 2000 to 200 psi at 20 °C, CoolProp.
@pytest.mark.comparison
def test_a_full_cylinder_gives_what_the_fact_base_works_out():
    answer = cylinder_lasts(E_US, read(2000), 2.0, place=US)

    assert answer.value == pytest.approx(4.76 * 131.90 / 2, rel=0.003)


# E oxygen cylinder: 660 L at 1900 psi and 70 °F (supply S2, after CGA P-2); C035, 1 %.
@pytest.mark.published("supply_S2")
def test_a_full_e_holds_660_litres():
    warm = read(1900, temperature_k=kelvin(21.111))

    assert cylinder_contents(E_US, warm, US).value == pytest.approx(660, rel=0.01)


# UK E: 680 L on a 4.7 L cylinder at 13 700 kPa and 15 °C (supply S8, S9, S7); C036, 2 %.
@pytest.mark.published("supply_S9")
def test_a_full_british_e_holds_680_litres_at_15_degrees():
    british = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7)
    reading = Reading(at_min=0, gauge_kpa=13_700.0, temperature_k=288.15)

    assert cylinder_contents(british, reading, Place(condition=C15)).value == pytest.approx(
        680, rel=0.02
    )


# Rules of the trade CP-07, CP-08 (common practice): a full E 10 h, a full H 100 h at 1 L/min.
@pytest.mark.parametrize(("water", "hours"), [(4.76, 10), (43.8, 100)])
def test_a_full_one_at_one_litre_agrees_with_the_rule_of_the_trade(water, hours):
    full = replace(E_US, water_capacity_l=water)

    assert cylinder_lasts(full, read(2100), 1.0, place=US).value / 60 == pytest.approx(
        hours, rel=0.20
    )


def test_the_working_is_shown_line_by_line():
    answer = cylinder_lasts(E_US, read(1000, temperature_k=293.15), 1.0, place=US)

    assert [step.result for step in answer.steps] == ["344 L", "273 L", "273 min"]
    assert answer.steps[0].what.startswith(
        "1\u202f000 psi on the gauge, 20 ± 1 °C, 4.76 L of water"
    )
    assert "70.5 L kept back" in answer.steps[1].note


def test_litres_are_shown_as_the_place_counts_them_and_minutes_do_not_change():
    us = cylinder_lasts(E_US, read(1000), 1.0, place=US)
    uk = cylinder_lasts(E_US, read(1000), 1.0, place=Place(condition=C15))

    assert uk.value == us.value
    # 344 L at 70 °F are 337 L at 15 °C (supply 8: 1000 L are 979.2).
    assert (us.steps[0].result, uk.steps[0].result) == ("344 L", "337 L")


def test_what_nobody_gave_is_said_to_be_assumed():
    answer = cylinder_lasts(E_US, read(1000), 1.0)

    assert "No temperature was given: 20 ± 5 °C (assumed)." in answer.assumptions
    assert any("No reserve rule is set" in line for line in answer.assumptions)
    assert any(
        one.source == "gauge_classes" and one.how_known == "memory" for one in answer.where_from
    )


def test_a_temperature_that_was_read_narrows_the_band():
    told = cylinder_contents(E_US, read(2000, temperature_k=293.15))
    untold = cylinder_contents(E_US, read(2000))

    assert told.value == untold.value
    assert told.high - told.low < untold.high - untold.low


def test_below_one_litre_a_minute_the_flow_is_less_certain():
    low, high = (cylinder_lasts(E_US, read(1000), flow) for flow in (0.99, 1.01))

    assert (low.high - low.low) / low.value > 1.2 * (high.high - high.low) / high.value


def test_drive_gas_and_leak_are_drawn_too():
    alone = cylinder_lasts(E_US, read(1900), 1.0)
    driven = cylinder_lasts(E_US, read(1900), 1.0, other=OtherDemand(drive_l_min=5, leak_l_min=0.1))

    # 15 min of 6.1 L/min are 92 L above zero gauge: more than 200 psi hold.
    assert driven.value < alone.value / 6
    assert any("drives" in line for line in alone.cautions)
    assert not any("drives" in line for line in driven.cautions)


def test_fifteen_minutes_of_the_whole_demand_are_kept_when_they_are_more():
    answer = cylinder_lasts(E_US, read(1900), 10.0, place=US)
    # 15 x 10 L above the 4.8 L of zero gauge, against 70 L at 200 psi.
    assert "155 L kept back" in answer.steps[1].note


def test_a_rule_of_the_site_is_used_and_named():
    site = ReservePolicy(pressure_kpa=1400.0)
    answer = cylinder_lasts(E_US, read(1000), 1.0, site)

    assert "14 bar" in answer.steps[1].what
    assert any(one.source == "site_rule" and one.how_known == "site" for one in answer.where_from)
    assert not any("No reserve rule" in line for line in answer.assumptions)


def test_the_common_linear_rule_stands_beside_it_with_its_error():
    views = cylinder_lasts(E_US, read(1000), 1.0).views
    by_label = {view.label: view for view in views}

    assert [view.label for view in views if view.chosen] == ["Real-gas tables"]
    # (1000 - 200) x 0.28 = 224 min against 273.5: -18 %; 0.347 L/psi: 278, +2 %.
    assert by_label["Common linear rule, 0.28 L/psi"].result == "224 min (-18 %)"
    assert by_label["Common linear rule, 0.28 L/psi"].source == "supply_S4"
    assert by_label["Common linear rule, 0.347 L/psi"].result == "278 min (+2 %)"


def test_a_size_without_a_printed_factor_is_ruled_by_water_times_bar():
    odd = Cylinder(gas=Gas.OXYGEN, water_capacity_l=6.0)
    views = cylinder_lasts(odd, read(1000), 1.0).views
    # 6 L x (800 psi = 55.16 bar) = 331 min.
    assert views[1].label.endswith("water capacity times bar")
    assert views[1].result.startswith("331 min")
    assert views[1].how_known == "memory"


def test_at_the_reserve_it_says_stop_and_what_to_do():
    answer = cylinder_lasts(E_US, read(200), 1.0, place=US)

    assert (answer.value, answer.low) == (0.0, 0.0)
    assert answer.verdict is Verdict.STOP
    assert "Change the cylinder" in answer.todo


def test_below_half_it_asks_for_a_second_source_and_above_it_is_fine():
    assert cylinder_lasts(E_US, read(900), 1.0).verdict is Verdict.LOOK_AGAIN
    assert "second source" in cylinder_lasts(E_US, read(900), 1.0).todo
    assert cylinder_lasts(E_US, read(1100), 1.0).verdict is Verdict.FINE


def test_at_altitude_the_float_is_mentioned_and_not_counted():
    high = cylinder_lasts(E_US, read(1000), 1.0, place=Place(barometric_kpa=80.5))

    assert any("made for sea level" in line for line in high.assumptions)
    assert high.value == pytest.approx(cylinder_lasts(E_US, read(1000), 1.0).value, rel=0.002)


def test_a_liquefied_gas_by_its_gauge_is_not_answered_but_weighed():
    answer = cylinder_lasts(N2O_E, read(718), 2.0)

    assert answer.value is None
    assert answer.sentence.startswith("The gauge cannot tell: weigh it.")
    assert answer.settles == "What does it weigh, and what is its tare?"
    assert answer.low < 200
    assert answer.high > 700
    assert answer.verdict is Verdict.LOOK_AGAIN
    assert answer.views == ()


def test_what_a_gauge_leaves_open_reaches_from_liquid_gone_to_full():
    # supply 2.5: 410 L left at 20 °C when the liquid ends; 1590 L are a full E.
    answer = cylinder_contents(N2O_E, read(718, temperature_k=293.15), US)

    assert answer.low < 410
    assert answer.high > 1590


# supply section 2.5: 545.5 L/kg at 70 °F.
@pytest.mark.comparison
def test_by_weight_it_is_answered():
    answer = cylinder_contents(N2O_E, Reading(at_min=0, weight_kg=8.915), US)

    assert answer.value == pytest.approx(2.915 * 545.5, rel=0.001)
    assert answer.low < answer.value < answer.high
    lasts = cylinder_lasts(N2O_E, Reading(at_min=0, weight_kg=8.915), 2.0, place=US)
    assert lasts.value == pytest.approx((1590 - 76) / 2, rel=0.01)


def test_a_weight_without_a_tare_asks_for_the_tare():
    answer = cylinder_lasts(replace(N2O_E, tare_kg=None), Reading(at_min=0, weight_kg=8.0), 2.0)

    assert answer.value is None
    assert answer.settles == "What tare is stamped on it?"


# supply section 2.5: vapour only, 20 °C, E: 400 psi 165 L, 200 psi 76 L.
@pytest.mark.comparison
@pytest.mark.parametrize(("psi", "litres"), [(400, 165), (200, 76)])
def test_below_saturation_the_gauge_tells_and_warns_of_the_cold(psi, litres):
    answer = cylinder_contents(N2O_E, read(psi, temperature_k=293.15), US)

    assert answer.value == pytest.approx(litres, abs=0.6)
    assert any("grows cold" in line for line in answer.cautions)


@settings(max_examples=20, deadline=None)
@given(st.floats(300, 2900), st.floats(0.2, 15))
def test_twice_the_flow_lasts_half_as_long(psi, flow):
    site = ReservePolicy(pressure_kpa=1379.0)
    once, twice = (cylinder_lasts(E_US, read(psi), one, site) for one in (flow, 2 * flow))

    assert twice.value == pytest.approx(once.value / 2)


@settings(max_examples=20, deadline=None)
@given(st.floats(300, 2900), st.floats(0, 2000), st.floats(0, 2000))
def test_keeping_back_more_never_lasts_longer(psi, one, other):
    less, more = sorted((one, other))
    lasts = [
        cylinder_lasts(E_US, read(psi), 2.0, ReservePolicy(pressure_kpa=kept)).value
        for kept in (less, more)
    ]

    assert lasts[1] <= lasts[0]


@pytest.mark.parametrize("flow", [0.0, -1.0, float("nan"), float("inf")])
def test_a_flow_that_is_no_flow_is_refused(flow):
    with pytest.raises(InvalidQuantity, match="flow_l_min"):
        cylinder_lasts(E_US, read(1000), flow)


@pytest.mark.parametrize(
    ("psi", "sentence"),
    [
        (-5, "a gauge reads 0 or more"),
        (float("nan"), "a gauge reads 0 or more"),
        (3100, "past the end of its scale at 3.000 psi"),
        (9000, "the pressure such a cylinder is tested to"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_in_the_unit_of_the_place(psi, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        cylinder_lasts(E_US, read(psi), 1.0, place=US)


def test_psi_typed_as_bar_is_recognised():
    with pytest.raises(RuleBroken, match=r"If it was psi, that is 131 bar"):
        cylinder_lasts(E_US, Reading(at_min=0, gauge_kpa=190_000.0), 1.0)


def test_a_cylinder_lighter_than_its_tare_is_refused():
    with pytest.raises(RuleBroken, match="less than its tare of 6 kg"):
        cylinder_contents(N2O_E, Reading(at_min=0, weight_kg=5.0))


def test_a_reading_without_a_gauge_is_refused():
    with pytest.raises(InvalidQuantity, match="gauge_kpa"):
        cylinder_lasts(E_US, Reading(at_min=0), 1.0)

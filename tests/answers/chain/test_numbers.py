"""The parts of the chain that rest on numbers: pressure, flow, contents, room, store."""

from dataclasses import replace

import pytest

from tests.answers.chain.sound import PLACE, SOUND, in_cubic_feet, with_part
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part
from ullage.answers.chain_things import PlannedFlow, RegulatorKind, Stored
from ullage.answers.plan import SourceKind
from ullage.answers.things import Cylinder, Reading, ReservePolicy
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA

FINE, LOOK, STOP, OPEN = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP, Verdict.NOT_YET


def judged(part, **changes):
    return chain_by_part(with_part(part, **changes))[part]


def american(part, **changes):
    return chain_by_part(in_cubic_feet(with_part(part, **changes)))[part]


@pytest.mark.parametrize(
    ("still_psi", "flowing_psi", "verdict"),
    [
        (50, 48, FINE),
        (45, 45, FINE),
        (55, 51, FINE),
        (56, 54, LOOK),  # fine is 45 to 55 psi
        (50, 44, LOOK),
        (50, 45, LOOK),  # droop of 5 psi: less is fine
        (61, 50, STOP),  # stop over 60
        (50, 39, STOP),  # stop under 40
    ],
)
def test_line_pressure_in_the_united_states(still_psi, flowing_psi, verdict):
    answer = judged(
        "regulator", still_gauge_kpa=still_psi * PSI_KPA, flowing_gauge_kpa=flowing_psi * PSI_KPA
    )

    assert answer.verdict is verdict, answer.reasons


@pytest.mark.parametrize(
    ("country", "kpa", "verdict"),
    [("GB", 400, FINE), ("GB", 420, FINE), ("GB", 300, STOP), ("DE", 500, FINE), ("US", 420, STOP)],
)
def test_line_pressure_is_judged_by_the_country(country, kpa, verdict):
    chain = replace(
        with_part("regulator", still_gauge_kpa=float(kpa), flowing_gauge_kpa=float(kpa)),
        country=country,
    )

    assert chain_by_part(chain)["regulator"].verdict is verdict


def test_the_pressure_that_the_maker_states_comes_first():
    answer = judged(
        "regulator", nominal_gauge_kpa=500.0, still_gauge_kpa=500.0, flowing_gauge_kpa=480.0
    )

    assert answer.verdict is FINE
    assert [view.label for view in answer.views if view.chosen] == [
        "Entered for this regulator or outlet"
    ]


def test_creep_is_a_stop():
    assert judged("regulator", creeps=True).verdict is STOP


@pytest.mark.parametrize("kind", [RegulatorKind.ADJUSTABLE, RegulatorKind.FLOW_METERING])
def test_an_adjustable_or_flow_metering_regulator_is_warned_about_with_the_reason(kind):
    answer = judged("regulator", kind=kind)

    assert answer.verdict is LOOK
    assert "pressure" in answer.sentence
    assert "common" in {line.how_known for line in answer.where_from}


def test_what_texts_print_for_the_line_pressure_stands_side_by_side():
    views = {view.label: view for view in judged("regulator").views}

    assert views["Common practice, about"].chosen
    assert views["Machine's own regulator"].result == "45 psi"
    assert views["Pipeline, United Kingdom"].result == "58 psi"


def flow(l_min, **more):
    more = {"system": "T-piece", "weight_kg": 2.0, "species": "cat", **more}
    return judged("flowmeter", flows=(PlannedFlow(flow_l_min=l_min, **more),))


@pytest.mark.parametrize(
    ("l_min", "verdict"), [(0.5, FINE), (0.49, LOOK), (0.1, LOOK), (0.05, LOOK), (4.1, STOP)]
)
def test_below_500_ml_min_through_a_non_rebreathing_system_is_a_second_look_never_a_stop(
    l_min, verdict
):
    assert flow(l_min).verdict is verdict


def test_the_floor_is_shown_as_common_practice():
    answer = flow(0.4)

    assert "below the 500 mL/min of common practice" in answer.sentence
    assert "common" in {line.how_known for line in answer.where_from}


def test_a_mouse_mask_shows_the_other_rule_beside_the_floor():
    answer = flow(0.3, system="mask", species="mouse", weight_kg=0.025)
    results = [view.result for view in answer.views]

    assert answer.verdict is LOOK
    assert results == ["500 mL/min", "0.1 to 0.5 L/min"]
    assert [view.how_known for view in answer.views] == ["common", "memory"]
    assert [view.chosen for view in answer.views] == [True, False]


def test_an_animal_above_two_and_a_half_kilograms_shows_the_rules_by_weight():
    answer = flow(1.0, weight_kg=4.0)
    results = {view.label: view.result for view in answer.views}

    assert results["200 mL/kg/min at 4 kg"] == "0.8 L/min"
    assert results["200 to 300 mL/kg/min at 4 kg"] == "0.8 to 1.2 L/min"
    assert results["500 mL/kg/min at 4 kg"] == "2 L/min"
    assert answer.verdict is FINE


def test_an_animal_of_two_kilograms_needs_no_other_rule():
    assert flow(0.5).views == ()


def test_less_than_the_rule_by_weight_is_a_second_look():
    answer = flow(0.6, weight_kg=4.0)

    assert answer.verdict is LOOK
    assert "0.8 L/min" in answer.sentence


def test_the_floor_counts_for_each_place_of_a_mask_bench():
    answer = flow(1.0, system="mask bench", species="mouse", weight_kg=0.025, places=4)

    assert answer.verdict is LOOK
    assert "1 L/min over 4 places" in answer.sentence


def test_a_circle_has_no_such_floor():
    assert flow(0.3, system="circle").verdict is FINE


def test_a_flow_without_a_system_asks_for_it():
    answer = flow(1.0, system="", label="Sorrel")

    assert answer.verdict is OPEN
    assert answer.settles == "Through which breathing system does Sorrel: 1 L/min run?"


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"gas": Gas.AIR}, STOP),
        ({"float_free": False}, STOP),
        ({"lowest_l_min": 1.5}, LOOK),
        ({"highest_l_min": 0.5}, STOP),
        ({"highest_l_min": None}, OPEN),
        ({"flows": ()}, FINE),
    ],
)
def test_the_tube_is_for_the_gas_and_reads_the_planned_flows(changes, verdict):
    assert judged("flowmeter", **changes).verdict is verdict


def test_a_low_flow_warns_how_far_a_flowmeter_may_be_off():
    assert "Below 1 L/min a flowmeter may be off by 25 % or more." in flow(0.5).cautions


def test_a_flow_of_no_places_is_refused():
    with pytest.raises(InvalidQuantity, match="places is 0"):
        PlannedFlow(flow_l_min=1.0, places=0)


def with_gauge(psi, **more):
    reading = Reading(at_min=0, gauge_kpa=psi * PSI_KPA, temperature_k=293.15)
    return judged("contents", reading=reading, **more)


@pytest.mark.parametrize(
    ("psi", "more", "verdict"),
    [
        (1900, {}, FINE),
        (1900, {"needed_l": 590.0}, LOOK),
        (1900, {"needed_l": 900.0}, STOP),
        (1900, {"needed_l": None}, OPEN),
        (999, {"needed_l": 100.0, "second_source": False}, STOP),
        (999, {"needed_l": 100.0, "second_source": None}, OPEN),
        (999, {"needed_l": 100.0, "second_source": True}, FINE),
        (1001, {"needed_l": 100.0, "second_source": False}, FINE),
        (199, {"needed_l": 0.0}, STOP),
    ],
)
def test_contents_against_the_plan_and_the_rules_of_beginning(psi, more, verdict):
    answer = with_gauge(psi, **more)

    assert answer.verdict is verdict, answer.reasons


def test_contents_are_those_of_the_equation_of_state():
    # supply_S2 prints 660 L at 1900 psi and 70 °F; 4.76 L of water was computed from it.
    reading = Reading(at_min=0, gauge_kpa=1900 * PSI_KPA, temperature_k=294.26)
    answer = judged("contents", reading=reading)
    at_15_c = 288.15 / 294.2611

    assert answer.value == pytest.approx(660 * at_15_c, rel=0.01)
    assert answer.low < answer.value < answer.high


def test_the_site_may_set_its_own_pressure_to_begin_at():
    policy = ReservePolicy(pressure_kpa=700.0, begin_kpa=3000.0)
    answer = with_gauge(500, needed_l=50.0, second_source=False, policy=policy)

    assert answer.verdict is FINE
    assert "site" in {line.how_known for line in answer.where_from}


def test_a_liquefied_gas_read_by_its_gauge_asks_to_be_weighed():
    cylinder = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.76)
    reading = Reading(at_min=0, gauge_kpa=745 * PSI_KPA, temperature_k=294.26)
    chain = replace(with_part("contents", cylinder=cylinder, reading=reading), gas=cylinder.gas)
    answer = chain_by_part(chain)["contents"]

    assert answer.value is None
    assert answer.settles
    assert answer.verdict in {OPEN, LOOK}


VENTILATED = {
    "fitted": True,
    "gas_driven": True,
    "lowest_gauge_kpa": 280.0,
    "highest_gauge_kpa": 600.0,
    "peak_flow_l_min": 60.0,
    "supply_flow_l_min": 100.0,
}


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, FINE),
        ({"gas_driven": False}, FINE),
        ({"gas_driven": None}, OPEN),
        ({"lowest_gauge_kpa": 350.0}, STOP),
        ({"highest_gauge_kpa": 300.0}, STOP),
        ({"supply_flow_l_min": 15.0}, STOP),
        ({"supply_flow_l_min": None}, OPEN),
        ({"lowest_gauge_kpa": None}, OPEN),
    ],
)
def test_pressure_and_flow_are_what_the_ventilator_asks(changes, verdict):
    assert judged("ventilator", **{**VENTILATED, **changes}).verdict is verdict


def test_a_concentrator_cannot_drive_a_ventilator():
    chain = replace(with_part("ventilator", **VENTILATED), source=SourceKind.CONCENTRATOR)
    answer = chain_by_part(chain)["ventilator"]

    assert answer.verdict is STOP
    assert "memory" in {line.how_known for line in answer.where_from}


def test_an_adjustable_regulator_ahead_of_a_ventilator_is_looked_at_again():
    chain = with_part("ventilator", **VENTILATED)
    regulator = replace(chain.regulator, kind=RegulatorKind.FLOW_METERING)
    answer = chain_by_part(replace(chain, regulator=regulator))["ventilator"]

    assert answer.verdict is LOOK
    assert "starve" in answer.sentence


@pytest.mark.published("supply_S63")
def test_the_content_of_a_small_cylinder_in_a_room():
    # supply_S63, displacement form: 660 L into 30 m³ gives 22.7 % oxygen (supply 7.3, computed).
    answer = judged("room_air", escaping_l=660.0 * 294.26 / 293.15)

    assert answer.verdict is FINE
    assert answer.low == pytest.approx(22.7, abs=0.05)
    assert answer.value == answer.high


def test_the_content_of_a_large_cylinder_enriches_a_small_room():
    answer = judged("room_air", escaping_l=6900.0)

    assert answer.verdict is LOOK
    assert answer.value == pytest.approx(39.0, abs=0.5)
    assert answer.unit == "% O₂"


@pytest.mark.parametrize(
    ("gas", "litres", "verdict"),
    [
        (Gas.NITROUS_OXIDE, 1590.0, FINE),  # 19.9 % (supply 7.3)
        (Gas.NITROUS_OXIDE, 2500.0, LOOK),
        (Gas.CARBON_DIOXIDE, 6000.0, STOP),
        (Gas.AIR, 6000.0, FINE),
    ],
)
def test_a_gas_without_oxygen_takes_its_place(gas, litres, verdict):
    chain = replace(with_part("room_air", escaping_l=litres), gas=gas)

    assert chain_by_part(chain)["room_air"].verdict is verdict


def test_the_thin_air_of_a_mountain_makes_more_of_the_same_gas():
    high = replace(SOUND, place=replace(PLACE, barometric_kpa=80.0))

    assert chain_by_part(high)["room_air"].value > chain_by_part(SOUND)["room_air"].value


def test_the_ventilation_carries_off_a_thirtieth_of_its_air():
    # supply 7.3: below 23.5 % needs a leak under Q/30; 6 changes of 30 m³ are 3000 L/min.
    steps = {step.what: step.result for step in judged("room_air").steps}

    assert steps["Largest steady leak that the ventilation carries off"] == "100 L/min"


@pytest.mark.parametrize(
    ("count", "code", "enclosed", "verdict"),
    [
        (12, "nfpa99", None, FINE),  # supply_S39: 12 full E are within 300 cu ft, 13 are not
        (13, "nfpa99", None, LOOK),
        (13, "nfpa99", True, FINE),
        (13, "nfpa99", False, STOP),
        (13, "new_york", None, FINE),
        (70, "new_york", False, STOP),
        (70, "fire_code", False, STOP),
        (70, "osha", None, FINE),
        (12, None, None, OPEN),
    ],
)
def test_the_store_is_tallied_against_the_code_of_the_site(count, code, enclosed, verdict):
    stored = (Stored(gas=Gas.OXYGEN, contents_l=660.0, count=count),)

    assert judged("storage", stored=stored, code=code, enclosed=enclosed).verdict is verdict


@pytest.mark.published("supply_S39")
def test_twelve_full_cylinders_are_279_7_cubic_feet():
    # supply 4.5: 12 x 660 L = 279.7 cu ft, 13 x 660 = 303.0.
    assert american("storage").value == pytest.approx(279.7, abs=0.05)


def test_gas_that_does_not_feed_a_fire_is_not_counted():
    stored = (
        Stored(gas=Gas.NITROGEN, contents_l=6900.0, count=5),
        Stored(gas=Gas.NITROUS_OXIDE, contents_l=1590.0, count=2),
    )
    answer = american("storage", stored=stored)

    assert answer.value == pytest.approx(2 * 1590 / 28.316846592)
    assert answer.steps[0].note == "not counted"


def test_thresholds_of_different_codes_stand_side_by_side():
    views = american("storage").views
    printed = {view.result.split(" (")[0] for view in views}

    assert printed >= {"300 cu ft", "1500 cu ft", "3000 cu ft"}
    assert {view.label for view in views if view.chosen} == {"NFPA 99, a smoke compartment"}

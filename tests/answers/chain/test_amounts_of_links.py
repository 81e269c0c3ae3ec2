"""Parts of the chain that rest on amounts: limits from both sides, on paper, and their laws."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.chain.sound import SOUND, in_cubic_feet, with_part
from tests.answers.paper import C15_K, F70_K, litres
from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part
from ullage.answers.chain_links.contents import contents
from ullage.answers.chain_links.flowmeter import flowmeter
from ullage.answers.chain_links.regulator import regulator
from ullage.answers.chain_links.room_air import room_air
from ullage.answers.chain_links.ventilator import ventilator_need
from ullage.answers.chain_things import (
    Contents,
    Flowmeter,
    PlannedFlow,
    Regulator,
    RegulatorKind,
    Reserve,
    RoomAir,
    Seal,
    Stored,
    Ventilator,
)
from ullage.answers.plan import SourceKind
from ullage.answers.things import Cylinder, Reading, ReservePolicy
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas
from ullage.core.units import PSI_KPA

FINE, LOOK, STOP, OPEN = Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.STOP, Verdict.NOT_YET
GRAVE = {FINE: 0, OPEN: 1, LOOK: 2, STOP: 3}
NOT_AMOUNTS = [-1.0, float("nan"), float("inf"), float("-inf")]


def judged(part, **changes):
    return chain_by_part(with_part(part, **changes))[part]


# --- flowmeter ------------------------------------------------------------------------------


def flows(*planned, **more):
    return flowmeter(with_part("flowmeter", flows=planned, **more))


CAT = PlannedFlow(flow_l_min=1.0, system="T-piece", weight_kg=4.0, species="cat")


@pytest.mark.parametrize(
    ("system", "judged_by_floor"),
    [
        ("T-piece", True),
        ("Mapleson F", True),
        ("coaxial (Bain)", True),
        ("Mask", True),
        ("nose cone", True),
        ("Non-rebreathing", True),
        ("circle", False),
        ("to-and-fro", False),
    ],
)
def test_a_system_is_known_by_its_words_in_any_case(system, judged_by_floor):
    answer = flows(replace(CAT, flow_l_min=0.3, system=system, weight_kg=None))

    assert (answer.verdict is LOOK) is judged_by_floor
    assert any("CO₂" in line for line in answer.cautions) is judged_by_floor


@pytest.mark.parametrize(
    ("l_min", "kg", "verdict"),
    # 200 mL/kg/min for a cat (fresh gas table): 4 kg ask 0.8 L/min; the floor is 0.5 L/min.
    [(0.8, 4.0, FINE), (0.79, 4.0, LOOK), (0.5, 2.5, FINE), (0.5, 2.6, LOOK), (1.2, 6.0, FINE)],
)
def test_a_heavier_animal_asks_for_more_than_the_floor(l_min, kg, verdict):
    assert flows(replace(CAT, flow_l_min=l_min, weight_kg=kg)).verdict is verdict


def test_the_floor_holds_for_each_place():
    two = replace(CAT, flow_l_min=1.0, places=2, weight_kg=0.03)
    three = replace(two, places=3)

    assert flows(two).verdict is FINE
    assert flows(three).verdict is LOOK
    assert "1 L/min over 3 places is below the 500 mL/min" in flows(three).sentence


def test_a_flow_below_the_floor_says_what_to_do_and_never_to_stop():
    answer = flows(replace(CAT, flow_l_min=0.2))

    assert answer.verdict is LOOK
    assert answer.todo.startswith("Raise the flow, or measure inspired CO₂")


def test_a_flow_beyond_the_tube_is_a_stop_and_below_it_a_second_look():
    beyond = flows(replace(CAT, flow_l_min=4.5, label="Fern"))
    below = flows(replace(CAT, system="circle", flow_l_min=0.05))

    assert beyond.sentence == "Fern: 4.5 L/min is planned and the tube ends at 4 L/min."
    assert beyond.todo.startswith("Use another flowmeter")
    assert below.sentence == "0.05 L/min is planned and the tube begins at 0.1 L/min."
    assert below.verdict is LOOK


def test_the_gravest_of_several_flows_counts():
    fine, low, far = CAT, replace(CAT, flow_l_min=0.3), replace(CAT, flow_l_min=9.0)

    assert flows(fine, low).verdict is LOOK
    assert flows(fine, low, far).verdict is STOP
    assert flows(fine).verdict is FINE


def test_a_tube_of_another_gas_and_a_stuck_float_are_taken_out_of_use():
    tube = flows(CAT, gas=Gas.AIR)
    stuck = flows(CAT, float_free=False)

    assert tube.sentence == "The tube is made for air and carries oxygen: it reads wrongly."
    assert stuck.todo == "Take the flowmeter out of use and have it cleaned."


@pytest.mark.parametrize("field", ["gas", "lowest_l_min", "highest_l_min", "float_free"])
def test_each_open_question_of_a_flowmeter_is_asked(field):
    answer = flows(CAT, **{field: None})

    assert answer.verdict is OPEN
    assert answer.settles.endswith("?")


def test_without_a_plan_the_flows_are_asked_for_and_with_an_empty_one_nothing_is():
    assert judged("flowmeter", flows=None).settles == "Which flows are planned?"
    assert "No flow is planned." in flows().reasons


def test_from_a_litre_on_no_error_of_the_tube_is_warned_of():
    assert not any("may be off" in line for line in flows(CAT).cautions)
    assert any(
        "may be off by 25 %" in line for line in flows(replace(CAT, flow_l_min=0.9)).cautions
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 4.0), st.floats(0.1, 4.0), st.floats(0.02, 30.0))
def test_on_the_scale_more_flow_is_never_judged_more_gravely(one, other, kg):
    less, more = (
        flows(replace(CAT, flow_l_min=flow, weight_kg=kg)).verdict for flow in sorted((one, other))
    )

    assert GRAVE[less] >= GRAVE[more]


# --- contents -------------------------------------------------------------------------------


def read(psi, **more):
    reading = Reading(at_min=0, gauge_kpa=psi * PSI_KPA, temperature_k=293.15)
    return contents(with_part("contents", reading=reading, **more))


def test_the_working_shows_what_is_kept_and_what_is_needed_in_litres_of_the_place():
    steps = {step.what: step.result for step in read(1900, needed_l=300.0).steps}
    at_15 = C15_K / F70_K
    kept = float(steps["Kept back in the cylinder"].removesuffix(" L"))

    assert kept == pytest.approx(litres(4.76, 200 * PSI_KPA) * at_15, abs=0.1)
    assert steps["The plan needs"] == "294 L"  # 300 L at 70 °F


@pytest.mark.parametrize(("share", "verdict"), [(0.5, FINE), (1.0, LOOK), (1.5, STOP)])
def test_what_the_plan_needs_is_held_against_both_ends_of_the_band(share, verdict):
    usable = litres(4.76, 1900 * PSI_KPA) - litres(4.76, 200 * PSI_KPA)
    answer = read(1900, needed_l=share * usable)

    assert answer.verdict is verdict
    assert {FINE: "At least", LOOK: "Between", STOP: "At most"}[verdict] in " ".join(answer.reasons)


def test_a_cylinder_counts_as_empty_below_200_psi_whatever_stands_behind():
    answer = read(199, needed_l=0.0, second_source=True)

    assert answer.verdict is STOP
    assert "The gauge reads 199 psi: change the cylinder." in answer.reasons


@pytest.mark.parametrize(
    ("second", "verdict", "says"),
    [
        (True, FINE, "a second source stands ready"),
        (False, STOP, "and there is no second source"),
        (None, OPEN, "Nobody has answered"),
    ],
)
def test_below_a_thousand_psi_the_second_source_decides(second, verdict, says):
    answer = read(900, needed_l=50.0, second_source=second)

    assert answer.verdict is verdict
    assert any(says in line for line in answer.reasons)


def test_exactly_a_thousand_psi_is_enough_and_is_not_called_above():
    answer = read(1000, needed_l=50.0, second_source=False)

    assert answer.verdict is FINE
    assert not any("above 1\u202f000 psi" in line for line in answer.reasons)


def test_a_rule_of_the_site_in_litres_is_kept_back_instead():
    answer = read(1900, needed_l=100.0, policy=ReservePolicy(volume_l=400.0))
    steps = {step.what: step.result for step in answer.steps}

    assert steps["Kept back in the cylinder"] == "392 L"
    assert answer.verdict is FINE


@pytest.mark.parametrize("missing", ["cylinder", "reading"])
def test_without_cylinder_or_reading_it_is_asked_for(missing):
    answer = judged("contents", **{missing: None})

    assert answer.verdict is OPEN
    assert answer.value is None


BLUE = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.76, tare_kg=6.0)


@pytest.mark.parametrize(("psi", "gone"), [(300, True), (599, True), (601, False), (740, False)])
def test_below_600_psi_the_liquid_of_nitrous_oxide_is_gone(psi, gone):
    reading = Reading(at_min=0, gauge_kpa=psi * PSI_KPA, temperature_k=294.0)
    told = replace(SOUND.contents, cylinder=BLUE, reading=reading, needed_l=50.0)
    answer = contents(replace(SOUND, gas=Gas.NITROUS_OXIDE, contents=told))

    assert any("the liquid is gone" in line for line in answer.reasons) is gone


def test_a_weighed_cylinder_covers_its_plan_by_weight():
    told = replace(
        SOUND.contents, cylinder=BLUE, reading=Reading(at_min=0, weight_kg=8.9), needed_l=300.0
    )
    answer = contents(replace(SOUND, gas=Gas.NITROUS_OXIDE, contents=told))

    assert answer.verdict is FINE
    assert answer.value > 1400


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 2900), st.floats(0, 2900), st.floats(0, 900))
def test_a_fuller_cylinder_is_never_judged_more_gravely(one, other, needed_l):
    low, high = (
        read(psi, needed_l=needed_l, second_source=False).verdict for psi in sorted((one, other))
    )

    assert GRAVE[low] >= GRAVE[high]


# --- regulator laws -------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 100), st.sampled_from(["US", "GB", "DE", ""]))
def test_a_pressure_further_from_the_middle_is_never_judged_milder(psi, country):
    def verdict(still_psi):
        told = Regulator(
            kind=RegulatorKind.PRESET,
            still_gauge_kpa=still_psi * PSI_KPA,
            flowing_gauge_kpa=still_psi * PSI_KPA,
            creeps=False,
        )
        return GRAVE[regulator(replace(SOUND, country=country, regulator=told)).verdict]

    middle = {"GB": 58.0, "DE": 65.3}.get(country, 50.0)
    further = psi + (5.0 if psi > middle else -5.0)

    assert verdict(max(further, 0.0)) >= verdict(psi)


# --- ventilator -----------------------------------------------------------------------------

DRIVEN = Ventilator(
    fitted=True,
    gas_driven=True,
    lowest_gauge_kpa=300.0,
    highest_gauge_kpa=600.0,
    peak_flow_l_min=80.0,
    supply_flow_l_min=100.0,
)


def drives(chain=SOUND, **changes):
    return ventilator_need(replace(chain, ventilator=replace(DRIVEN, **changes)))


def supplied(still, flowing, kind=RegulatorKind.PRESET):
    told = Regulator(kind=kind, still_gauge_kpa=still, flowing_gauge_kpa=flowing, creeps=False)
    return replace(SOUND, regulator=told)


@pytest.mark.parametrize(
    ("flowing", "verdict"),
    [(299.0, STOP), (300.0, FINE), (600.0, FINE), (601.0, STOP)],
)
def test_the_supply_lies_between_the_least_and_the_most(flowing, verdict):
    assert drives(supplied(flowing, flowing)).verdict is verdict


def test_the_flowing_pressure_counts_and_the_still_one_stands_in_for_it():
    assert drives(supplied(340.0, 290.0)).verdict is STOP
    assert drives(supplied(340.0, None)).verdict is FINE
    assert "outlet gauge read at working flow" in drives(supplied(None, None)).settles


def test_without_a_highest_pressure_none_is_too_high():
    assert drives(supplied(900.0, 900.0), highest_gauge_kpa=None).verdict is FINE


@pytest.mark.parametrize(("gives", "verdict"), [(79.9, STOP), (80.0, FINE)])
def test_the_flow_at_its_peak_is_given_or_not(gives, verdict):
    answer = drives(supply_flow_l_min=gives)

    assert answer.verdict is verdict
    assert "the ventilator draws 80 L/min at its peak" in " ".join(answer.reasons)


def test_drive_gas_is_warned_of_only_where_it_is_drawn():
    assert drives().cautions
    assert drives(gas_driven=False).cautions == ()
    assert drives(fitted=False).cautions == ()


@pytest.mark.parametrize(
    "kind", [SourceKind.PIPELINE, SourceKind.MANIFOLD, SourceKind.LIQUID, SourceKind.CONCENTRATOR]
)
def test_a_concentrator_alone_cannot_drive(kind):
    verdict = drives(replace(SOUND, source=kind)).verdict

    assert (verdict is STOP) is (kind is SourceKind.CONCENTRATOR)


# --- room air -------------------------------------------------------------------------------


def after(gas, volume_m3, litres_f70, **more):
    told = RoomAir(volume_m3=volume_m3, escaping_l=litres_f70, **more)
    return room_air(replace(SOUND, gas=gas, room_air=told))


def test_oxygen_displaces_the_mixture_or_adds_to_it_and_the_worse_counts():
    # 3 m³ at 20 °C into 30 m³: mixed while it leaves, 1 - 0.79 e^-0.1; at once, 0.21 x 0.9 + 0.1.
    free = 3000.0 * F70_K / 293.15
    answer = after(Gas.OXYGEN, 30.0, free)
    ends = sorted([100 * (1 - 0.7905 * 2.718281828**-0.1), 100 * (0.2095 * 0.9 + 0.1)])

    assert (answer.low, answer.high) == pytest.approx(tuple(ends), abs=0.2)
    assert answer.value == answer.high
    assert answer.verdict is LOOK


@pytest.mark.parametrize(
    ("gas", "volume_m3", "escaping_l", "verdict"),
    [
        (Gas.OXYGEN, 30.0, 900.0, FINE),  # 23.3 %
        (Gas.OXYGEN, 30.0, 1100.0, LOOK),  # 23.8 %, above 23.5 %
        (Gas.NITROGEN, 30.0, 1900.0, FINE),  # 19.6 %
        (Gas.NITROGEN, 30.0, 2300.0, LOOK),  # 19.3 %, below 19.5 %
        (Gas.NITROGEN, 30.0, 4900.0, STOP),  # 17.5 %, below 18 %
        (Gas.HELIUM, 30.0, 4900.0, STOP),
    ],
)
def test_each_limit_of_the_air_is_passed_from_both_sides(gas, volume_m3, escaping_l, verdict):
    assert after(gas, volume_m3, escaping_l).verdict is verdict


def test_air_changes_nothing_and_needs_no_room():
    answer = room_air(replace(SOUND, gas=Gas.AIR, room_air=RoomAir()))

    assert answer.verdict is FINE
    assert answer.value is None


@pytest.mark.parametrize("missing", ["volume_m3", "escaping_l"])
def test_without_room_or_litres_they_are_asked_for(missing):
    answer = judged("room_air", **{missing: None})

    assert answer.verdict is OPEN
    assert answer.settles.endswith("?")


def test_without_air_changes_no_steady_leak_is_told():
    told = [step.what for step in judged("room_air", changes_per_h=None).steps]

    assert not any("steady leak" in what for what in told)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([Gas.OXYGEN, Gas.NITROGEN, Gas.NITROUS_OXIDE]),
    st.floats(5, 300),
    st.floats(0, 9000),
)
def test_a_larger_room_is_never_judged_more_gravely(gas, volume_m3, escaping_l):
    small, large = (after(gas, size, escaping_l).verdict for size in (volume_m3, 2 * volume_m3))

    assert GRAVE[small] >= GRAVE[large]


# --- storage --------------------------------------------------------------------------------


def american(**changes):
    return chain_by_part(in_cubic_feet(with_part("storage", **changes)))["storage"]


def test_each_lot_is_a_step_in_cubic_feet():
    stored = (
        Stored(gas=Gas.OXYGEN, contents_l=660.0, count=3),
        Stored(gas=Gas.CARBON_DIOXIDE, contents_l=1590.0, count=1),
    )
    steps = american(stored=stored).steps

    assert steps[0].what == "3 of oxygen, 660 L each"
    assert steps[0].result == "69.9 cu ft (1\u202f980 L)"  # 1980 / 28.3168
    assert [step.note for step in steps] == ["", "not counted"]


def test_an_empty_store_is_within_every_code():
    for code in ("nfpa99", "fire_code", "new_york", "osha"):
        answer = judged("storage", stored=(), code=code)
        assert (answer.value, answer.verdict) == (0.0, FINE)


def test_a_code_that_nobody_knows_is_asked_for():
    answer = judged("storage", code="moon")

    assert answer.verdict is OPEN
    assert answer.settles == "Which storage code does the site follow?"
    assert not any(view.chosen for view in answer.views)


@pytest.mark.parametrize(("enclosed", "verdict"), [(None, LOOK), (True, FINE), (False, STOP)])
def test_beyond_a_threshold_the_enclosure_decides(enclosed, verdict):
    stored = (Stored(gas=Gas.OXYGEN, contents_l=6900.0, count=20),)
    answer = american(stored=stored, enclosed=enclosed)

    # 138 000 L are 4873 cu ft: beyond 3000, the second quantity of the code.
    assert answer.verdict is verdict
    assert answer.value == pytest.approx(138_000 / 28.316846592)
    assert any("passes 3000 cu ft (84\u202f951 L)" in line for line in answer.reasons)
    assert [view.result for view in answer.views if view.chosen] == ["3000 cu ft (84\u202f951 L)"]


def test_a_place_of_litres_says_litres_first_and_comes_to_the_same():
    stored = (Stored(gas=Gas.OXYGEN, contents_l=660.0, count=13),)
    metric, other = judged("storage", stored=stored), american(stored=stored)

    # 13 x 660 L at 70 °F are 303.0 cu ft, and fewer litres at 15 °C.
    assert (metric.unit, other.unit) == ("L", "cu ft")
    assert metric.value == pytest.approx(13 * 660.0 * C15_K / F70_K, rel=2e-4)
    assert metric.steps[0].what == "13 of oxygen, 646 L each"
    assert metric.steps[0].result.endswith("L (303 cu ft)")
    assert other.steps[0].result.startswith("303 cu ft (")
    assert metric.verdict is other.verdict


# --- what a chain cannot hold ---------------------------------------------------------------


@pytest.mark.parametrize("value", NOT_AMOUNTS)
@pytest.mark.parametrize(
    ("thing", "name"),
    [
        (Contents(), "needed_l"),
        (Regulator(), "still_gauge_kpa"),
        (Regulator(), "flowing_gauge_kpa"),
        (Regulator(), "nominal_gauge_kpa"),
        (Seal(), "count"),
        (CAT, "flow_l_min"),
        (CAT, "weight_kg"),
        (Flowmeter(), "lowest_l_min"),
        (Flowmeter(), "highest_l_min"),
        (Reserve(), "gauge_kpa"),
        (Reserve(), "full_gauge_kpa"),
        (RoomAir(), "volume_m3"),
        (RoomAir(), "changes_per_h"),
        (RoomAir(), "escaping_l"),
        (Stored(gas=Gas.OXYGEN, contents_l=1.0), "contents_l"),
        (DRIVEN, "lowest_gauge_kpa"),
        (DRIVEN, "highest_gauge_kpa"),
        (DRIVEN, "peak_flow_l_min"),
        (DRIVEN, "supply_flow_l_min"),
    ],
    ids=lambda one: one if isinstance(one, str) else type(one).__name__,
)
def test_an_amount_that_cannot_be_is_refused_by_name(thing, name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is "):
        replace(thing, **{name: value})

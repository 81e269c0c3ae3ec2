"""What a cylinder, a reading and a policy mean: bad input refused, rules in numbers and words."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.paper import litres
from ullage.answers.held import (
    HIGHEST_GAUGE_KPA,
    doubt_of,
    gauge_error_kpa,
    policy_of,
    pressure_text,
    refuse_impossible,
    shown_l,
    state_of,
    temperature_of,
    temperature_text,
)
from ullage.answers.lasts import cylinder_contents
from ullage.answers.places import place_at
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, ReservePolicy
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import C0, C15, F70, Gas

PSI = 6.894757293168361
OXYGEN = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7)
TESTED = replace(OXYGEN, test_pressure_kpa=22_750.0, full_scale_kpa=40_000.0)
WEIGHED = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.2)
BAD = [float("nan"), float("inf"), float("-inf")]


def read(kpa=None, **more):
    return Reading(at_min=0.0, gauge_kpa=kpa, **more)


@pytest.mark.parametrize(
    ("kpa", "unit", "shown"),
    [
        (7100.0, "bar", "71 bar"),
        (7149.0, "bar", "71 bar"),
        (7151.0, "bar", "72 bar"),
        (940.0, "bar", "9.4 bar"),
        (0.0, "bar", "0 bar"),
        (1000 * PSI, "psi", "1\u202f000 psi"),
        (199.6 * PSI, "psi", "200 psi"),
        (13_100.0, "MPa", "13 MPa"),
        (6895.0, "kPa", "6\u202f895 kPa"),
    ],
)
def test_a_pressure_is_shown_in_the_unit_of_the_gauges(kpa, unit, shown):
    assert pressure_text(kpa, Place(pressure_unit=unit)) == shown


def test_a_temperature_that_was_read_is_known_to_one_degree_and_one_of_the_place_by_its_band():
    place = Place(temperature_k=290.0, temperature_band_k=4.0)

    assert temperature_of(read(temperature_k=300.0), place) == (300.0, 1.0)
    assert temperature_of(read(), place) == (290.0, 4.0)


def test_only_a_temperature_that_nobody_gave_is_called_assumed():
    assert temperature_text(read(), Place()) == "20 ± 5 °C (assumed)"
    assert temperature_text(read(), Place(temperature_given=True)) == "20 ± 5 °C"
    assert temperature_text(read(temperature_k=313.15), Place()) == "40 ± 1 °C"


def test_the_error_of_a_gauge_is_a_share_of_its_scale_not_of_its_reading():
    # 2.5 % of 3000 psi are 75 psi, the class of a usual gauge; 1 % of it 30 psi.
    scaled = replace(OXYGEN, full_scale_kpa=3000 * PSI)

    assert gauge_error_kpa(scaled) == pytest.approx(75 * PSI)
    assert gauge_error_kpa(replace(scaled, gauge_error_share=0.01)) == pytest.approx(30 * PSI)
    assert gauge_error_kpa(replace(scaled, gauge_error_share=0.0)) == 0.0


def test_doubts_are_those_of_the_cylinder_where_they_are_known():
    known = replace(OXYGEN, gauge_error_share=0.016, water_capacity_share=0.003)
    usual, own = doubt_of(OXYGEN, read(7000.0), Place()), doubt_of(known, read(7000.0), Place())

    assert (usual.water_share, own.water_share) == (0.01, 0.003)
    assert usual.temperature_k == own.temperature_k == 5.0
    assert usual.gauge_kpa > own.gauge_kpa


@pytest.mark.parametrize("kpa", [-0.001, -500.0, float("nan"), float("-inf")])
def test_a_gauge_below_nothing_is_refused(kpa):
    with pytest.raises(RuleBroken, match="a gauge reads 0 or more"):
        refuse_impossible(OXYGEN, read(kpa), Place())


def test_a_gauge_at_zero_at_its_end_and_at_the_test_pressure_is_kept():
    for cylinder, kpa in ((OXYGEN, 0.0), (OXYGEN, OXYGEN.full_scale_kpa), (TESTED, 22_750.0)):
        assert state_of(cylinder, read(kpa), Place()).gauge_kpa == kpa


@pytest.mark.parametrize("kpa", [22_760.0, 30_000.0, float("inf")])
def test_a_gauge_above_the_test_pressure_names_what_is_allowed(kpa):
    with pytest.raises(RuleBroken, match=r"no more than 228 bar is allowed here"):
        refuse_impossible(TESTED, read(kpa), Place())


def test_where_no_test_pressure_is_known_none_is_above_the_highest_there_is():
    wide = replace(OXYGEN, full_scale_kpa=60_000.0)

    refuse_impossible(wide, read(HIGHEST_GAUGE_KPA), Place())
    with pytest.raises(RuleBroken, match=r"no more than 310 bar"):
        refuse_impossible(wide, read(HIGHEST_GAUGE_KPA + 1), Place())


def test_past_its_scale_the_scale_is_asked_for():
    with pytest.raises(RuleBroken, match=r"past the end of its scale at 207 bar\. Give the scale"):
        refuse_impossible(OXYGEN, read(21_000.0), Place())


def test_psi_taken_for_bar_is_recognised_and_a_psi_gauge_is_never_asked():
    with pytest.raises(RuleBroken, match=r"If it was psi, that is 138 bar\."):
        refuse_impossible(OXYGEN, read(2000 * 100.0), Place())
    with pytest.raises(RuleBroken, match="no more than") as said:
        refuse_impossible(OXYGEN, read(20_000 * PSI), Place(pressure_unit="psi"))
    assert "If it was psi" not in str(said.value)


@pytest.mark.parametrize("weight_kg", [6.1, -1.0, float("nan"), float("-inf")])
def test_a_weight_below_the_tare_is_refused(weight_kg):
    with pytest.raises(RuleBroken, match=r"less than its tare of 6\.2 kg\. Read both again"):
        refuse_impossible(WEIGHED, read(weight_kg=weight_kg), Place())


def test_an_empty_cylinder_weighs_its_tare_and_holds_nothing():
    answer = cylinder_contents(WEIGHED, read(weight_kg=6.2))

    assert answer.value == pytest.approx(0.0, abs=1e-9)
    assert answer.low == 0.0


def test_a_weight_without_end_is_refused():
    with pytest.raises((InvalidQuantity, RuleBroken), match=r"inf"):
        cylinder_contents(WEIGHED, read(weight_kg=float("inf")))


@pytest.mark.parametrize("kelvin", [243.0, 338.3, float("nan"), float("inf"), -20.0])
def test_a_temperature_at_which_nobody_works_is_refused(kelvin):
    with pytest.raises(InvalidQuantity, match=r"temperature_k is .*between 243.15 and 338.15"):
        refuse_impossible(OXYGEN, read(7000.0, temperature_k=kelvin), Place())


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"barometric_kpa": 49.9}, "barometric_kpa"),
        ({"barometric_kpa": 1013.0}, "barometric_kpa"),
        ({"barometric_kpa": float("nan")}, "barometric_kpa"),
        ({"temperature_k": 20.0}, "temperature_k"),
        ({"temperature_band_k": -1.0}, "temperature_band_k"),
        ({"temperature_band_k": float("inf")}, "temperature_band_k"),
    ],
)
def test_a_place_that_cannot_be_is_refused(changes, named):
    with pytest.raises(InvalidQuantity, match=named):
        Place(**changes)


@pytest.mark.parametrize("value", [0.0, -4.7, *BAD])
@pytest.mark.parametrize("name", ["water_capacity_l", "full_scale_kpa"])
def test_a_cylinder_without_size_or_scale_is_refused(name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is .* must be a number above 0"):
        replace(OXYGEN, **{name: value})


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("gauge_error_share", -0.01),
        ("gauge_error_share", 1.01),
        ("gauge_error_share", float("nan")),
        ("water_capacity_share", -0.01),
        ("water_capacity_share", float("inf")),
        ("test_pressure_kpa", -1.0),
        ("test_pressure_kpa", float("nan")),
        ("fill_gauge_kpa", float("nan")),
        ("tare_kg", -6.0),
        ("tare_kg", float("nan")),
    ],
)
def test_a_cylinder_with_a_property_that_cannot_be_is_refused(name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is "):
        replace(OXYGEN, **{name: value})


@pytest.mark.parametrize("at_min", BAD)
def test_a_reading_at_no_time_is_refused(at_min):
    with pytest.raises(InvalidQuantity, match="at_min is "):
        Reading(at_min=at_min, gauge_kpa=7000.0)


@pytest.mark.parametrize(
    ("start", "end", "flow", "named"),
    [
        (0.0, 0.0, 1.0, "end_min - start_min"),
        (10.0, 5.0, 1.0, "end_min - start_min"),
        (0.0, 10.0, -1.0, "flow_l_min"),
        (0.0, 10.0, float("nan"), "flow_l_min"),
        (0.0, float("inf"), 1.0, "end_min - start_min"),
    ],
)
def test_a_flow_needs_a_length_and_an_amount(start, end, flow, named):
    with pytest.raises(InvalidQuantity, match=named):
        FlowPeriod(start_min=start, end_min=end, flow_l_min=flow)


def test_a_cylinder_read_by_its_gauge_needs_the_gauge():
    with pytest.raises(InvalidQuantity, match="read from the gauge"):
        state_of(OXYGEN, read(), Place())


def test_the_numbers_of_a_cylinder_are_those_of_reading_and_place():
    place = Place(barometric_kpa=80.5, temperature_k=300.0)
    state = state_of(OXYGEN, read(7100.0), place, count=3)

    assert (state.gauge_kpa, state.ambient_kpa, state.temperature_k) == (7100.0, 80.5, 300.0)
    assert (state.water_capacity_l, state.count) == (4.7, 3)


# Ratio of ideal molar volumes at 1 atm: 288.15 / 294.26 and 273.15 / 294.26, within 0.1 %.
@pytest.mark.parametrize(("condition", "share"), [(F70, 1.0), (C15, 0.97924), (C0, 0.92826)])
def test_litres_are_counted_at_the_condition_of_the_place(condition, share):
    assert shown_l(1000.0, Place(condition=condition)) == pytest.approx(1000 * share, rel=1e-3)


@pytest.mark.parametrize(
    ("policy", "words"),
    [
        (ReservePolicy(pressure_kpa=1400.0), "14 bar"),
        (ReservePolicy(volume_l=100.0), "97.9 L"),
        (ReservePolicy(minutes=20.0), "gas for 20 min of the whole demand"),
        (
            ReservePolicy(pressure_kpa=1400.0, minutes=20.0),
            "the larger of 14 bar and gas for 20 min of the whole demand",
        ),
        (
            ReservePolicy(pressure_kpa=1400.0, volume_l=100.0, minutes=20.0),
            "the largest of 14 bar, 97.9 L and gas for 20 min of the whole demand",
        ),
        (ReservePolicy(pressure_kpa=0.0), "nothing"),
    ],
)
def test_a_rule_of_a_site_is_said_in_full(policy, words):
    found = policy_of(policy, Place())

    assert found.words == words
    assert found.where_from[0].how_known == "site"
    assert found.assumption == ""


def test_without_a_rule_the_proposal_is_used_and_said_to_be_one():
    found = policy_of(ReservePolicy(), Place(pressure_unit="psi"))

    assert found.rule.pressure_kpa == pytest.approx(200 * PSI)
    assert (found.rule.minutes, found.rule.volume_l) == (15.0, 0.0)
    assert found.assumption.startswith("No reserve rule is set: the larger of 200 psi")
    assert found.where_from[0].how_known != "site"


def test_to_begin_a_thousand_psi_are_asked_unless_the_site_says_otherwise():
    assert policy_of(ReservePolicy(), Place()).begin_kpa == pytest.approx(1000 * PSI)
    assert policy_of(ReservePolicy(begin_kpa=5000.0), Place()).begin_kpa == 5000.0


@pytest.mark.parametrize("name", ["pressure_kpa", "volume_l", "minutes", "begin_kpa"])
@pytest.mark.parametrize("value", [-1.0, *BAD])
def test_a_rule_below_nothing_or_without_end_is_refused(name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is "):
        ReservePolicy(**{name: value})


@pytest.mark.comparison
@pytest.mark.parametrize("kelvin", [273.15, 293.15, 313.15])
@pytest.mark.parametrize("elevation_m", [0.0, 1900.0])
def test_contents_in_a_cold_a_usual_and_a_hot_room_at_the_sea_and_on_a_mountain(
    kelvin, elevation_m
):
    # ISO 2533 for the air; densities of CoolProp, worked out apart from the package.
    place = replace(place_at(elevation_m=elevation_m), condition=F70)
    outside = 101.325 * (1 - 0.0065 * elevation_m / 288.15) ** 5.25588
    answer = cylinder_contents(OXYGEN, read(10_000.0, temperature_k=kelvin), place)

    assert answer.value == pytest.approx(litres(4.7, 10_000.0, kelvin, outside), rel=5e-4)
    assert answer.low < answer.value < answer.high


@settings(max_examples=40, deadline=None)
@given(st.floats(500, 20_000), st.floats(260, 315), st.floats(260, 315))
def test_the_same_gauge_in_a_warmer_cylinder_means_less_gas(kpa, one, other):
    colder, warmer = sorted((one, other))
    held = [cylinder_contents(OXYGEN, read(kpa, temperature_k=at)).value for at in (colder, warmer)]

    assert held[1] <= held[0]


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 20_000), st.floats(0, 20_000))
def test_a_higher_gauge_never_means_less(one, other):
    low, high = sorted((one, other))

    assert cylinder_contents(OXYGEN, read(low)).value <= cylinder_contents(OXYGEN, read(high)).value


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 60), st.floats(0, 20_000))
def test_twice_the_water_holds_twice_the_gas(water, kpa):
    one, two = (
        cylinder_contents(replace(OXYGEN, water_capacity_l=size), read(kpa)).value
        for size in (water, 2 * water)
    )

    assert two == pytest.approx(2 * one)

"""What the estimator is given: readings that tell, instruments, flows with their error."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.paper import litres_per_kg
from ullage.answers.believed import known_of, leak_rule, usable
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, Valve
from ullage.core.gas import Gas

PSI = 6.894757293168361
E = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76, full_scale_kpa=3000 * PSI)
BLUE = Cylinder(gas=Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.2)
AT_20 = Place(temperature_k=293.15, temperature_band_k=2.0)


def gauge(at, kpa, **more):
    return Reading(at_min=at, gauge_kpa=kpa, **more)


def known(readings, flows=(), now=1000.0, cylinder=E, place=AT_20):
    return known_of(cylinder, readings, flows, now, place)


def test_readings_come_in_the_order_of_their_times():
    found = usable(E, [gauge(60, 6000), gauge(0, 7000), gauge(30, 6500)])

    assert [one.at_min for one in found] == [0, 30, 60]


@pytest.mark.parametrize(
    ("cylinder", "reading", "tells"),
    [
        (E, gauge(0, 7000.0), True),
        (E, Reading(at_min=0), False),
        (E, Reading(at_min=0, weight_kg=9.0), False),
        (BLUE, gauge(0, 4900.0), False),
        (BLUE, Reading(at_min=0, weight_kg=8.0), True),
        (BLUE, gauge(0, 4900.0, weight_kg=8.0), True),
        (replace(BLUE, tare_kg=None), Reading(at_min=0, weight_kg=8.0), False),
    ],
)
def test_a_reading_tells_by_gauge_of_a_gas_and_by_weight_of_a_liquid(cylinder, reading, tells):
    assert bool(usable(cylinder, [reading])) is tells
    assert (known([reading], cylinder=cylinder) is not None) is tells


def test_without_a_reading_nothing_is_known():
    assert known([]) is None


def test_what_was_seen_keeps_gauge_warmth_and_valve():
    readings = [
        gauge(0, 7000, valve_before=Valve.OPEN),
        gauge(30, 6900, temperature_k=300.0, valve_before=Valve.CLOSED),
        gauge(60, 6800),
    ]
    sightings = known(readings).history.sightings

    assert [one.gauge_kpa for one in sightings] == [7000, 6900, 6800]
    assert [one.temperature_k for one in sightings] == [293.15, 300.0, 293.15]
    assert [one.is_open for one in sightings] == [True, False, None]
    assert all(one.weighed_l is None for one in sightings)


@pytest.mark.comparison
def test_a_weight_becomes_litres_at_70_degrees():
    (one,) = known([Reading(at_min=0, weight_kg=8.2)], cylinder=BLUE).history.sightings

    assert one.weighed_l == pytest.approx(2.0 * litres_per_kg("nitrous oxide"), rel=2e-3)
    assert one.gauge_kpa is None


def test_an_instrument_is_known_by_its_scale():
    found = known([gauge(0, 7000)]).history.instrument

    # 2.5 % of 3000 psi either way, read to 50 psi of 3000; capacity within 1 %; room ± 2 K.
    assert found.gauge_limit_kpa == pytest.approx(75 * PSI)
    assert found.gauge_step_kpa == pytest.approx(50 * PSI)
    assert (found.capacity_limit_share, found.temperature_limit_k) == (0.01, 2.0)


def test_what_is_known_of_one_cylinder_comes_before_what_is_usual():
    own = replace(E, gauge_error_share=0.01, water_capacity_share=0.002)
    found = known([gauge(0, 7000)], cylinder=own).history.instrument

    assert found.gauge_limit_kpa == pytest.approx(30 * PSI)
    assert found.capacity_limit_share == 0.002


def test_a_finer_scale_is_read_more_finely():
    small = replace(E, full_scale_kpa=1500 * PSI)

    assert known([gauge(0, 7000)], cylinder=small).history.instrument.gauge_step_kpa == (
        pytest.approx(25 * PSI)
    )


def test_the_widest_warmth_among_the_readings_counts():
    wide = Place(temperature_band_k=5.0)
    told = [gauge(0, 7000, temperature_k=293.0), gauge(30, 6900)]

    assert known(told, place=wide).history.instrument.temperature_limit_k == 5.0
    assert known(told[:1], place=wide).history.instrument.temperature_limit_k == 1.0


@pytest.mark.parametrize(
    ("flow", "share", "error", "by_limit"),
    [
        (2.0, None, 0.10, False),
        (0.5, None, 0.25 / 3**0.5, True),
        (0.5, 0.04, 0.04, False),
        (2.0, 0.04, 0.04, False),
    ],
)
def test_the_error_of_a_flow_is_one_standard_deviation(flow, share, error, by_limit):
    # A limit of ± a, taken as uniform, has a standard deviation of a over the root of 3.
    period = FlowPeriod(start_min=0, end_min=60, flow_l_min=flow, flow_sd_share=share)
    found = known([gauge(0, 7000)], [period])

    assert found.history.draws[0].error_share == pytest.approx(error)
    assert found.beliefs.flow_error_is_limit is by_limit


def test_one_flow_with_a_standard_deviation_makes_the_error_no_limit():
    flows = [
        FlowPeriod(start_min=0, end_min=60, flow_l_min=0.5),
        FlowPeriod(start_min=60, end_min=90, flow_l_min=2.0),
    ]

    assert known([gauge(0, 7000)], flows).beliefs.flow_error_is_limit is False
    assert known([gauge(0, 7000)], ()).beliefs.flow_error_is_limit is False


def test_now_is_never_before_the_last_reading():
    readings = [gauge(0, 7000), gauge(90, 6500)]

    assert known(readings, now=50.0).history.now_min == 90.0
    assert known(readings, now=200.0).history.now_min == 200.0


def test_the_air_of_the_place_is_that_outside_the_cylinder():
    high = replace(AT_20, barometric_kpa=80.5)

    assert known([gauge(0, 7000)], place=high).history.ambient_kpa == 80.5


def test_a_leak_is_reported_above_a_flow_and_a_chance_that_are_written_down():
    rule = leak_rule()

    assert rule.above_l_min > 0
    assert 0.5 <= rule.chance < 1.0


@settings(max_examples=30, deadline=None)
@given(st.permutations([0.0, 30.0, 60.0, 90.0, 400.0]))
def test_the_order_in_which_readings_were_typed_changes_nothing(times):
    told = [gauge(at, 7000 - at) for at in times]

    assert known(told) == known(sorted(told, key=lambda one: one.at_min))

"""Demand of a day, on paper and against print."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.supply import (
    CaseDemand,
    MachineDemand,
    Stretch,
    chamber_l,
    concurrent_peak_l_min,
    drive_gas_l_min,
    flush_l,
    leak_lost_l,
    stretch_l,
    whistle_l,
)

flows = st.floats(0.0, 50.0)
minutes = st.floats(0.1, 600.0)


@pytest.mark.published("supply_S20")
@pytest.mark.parametrize(("flow", "printed"), [(35.0, 5.8), (75.0, 12.5)])
def test_ten_seconds_of_flush_take_what_the_fact_base_works_out(flow, printed):
    # Flush of 35 to 75 L/min (supply S19, S20); 10 s = 5.8 to 12.5 L, supply section 5.
    assert flush_l(1, 10.0, flow) == pytest.approx(printed, abs=0.05)


# Field ventilator on E cylinders, Mil Med 2014;179:1465 (supply S51): 10 breaths a minute.
FIELD = [(5.0, 2.19), (10.0, 3.76), (5.0, 2.63), (10.0, 4.89)]


@pytest.mark.published("supply_S51")
@pytest.mark.parametrize(("minute_volume", "printed"), FIELD)
def test_the_field_ventilator_draws_less_than_its_minute_volume(minute_volume, printed):
    factor = printed / minute_volume

    assert 0.37 < factor < 0.53
    assert drive_gas_l_min(minute_volume, factor) == pytest.approx(printed)
    assert drive_gas_l_min(minute_volume, factor) < minute_volume


@pytest.mark.published("supply_S18")
def test_the_whistle_takes_a_quarter_of_a_litre():
    # At least 7 s at about 2 L/min (supply S18, section 3.3).
    assert whistle_l(2.0, 7.0) == pytest.approx(0.233, abs=0.001)


def test_a_leak_of_100_ml_a_minute_takes_84_litres_overnight():
    assert leak_lost_l(0.1, 14 * 60) == pytest.approx(84.0)


def test_a_chamber_is_swept_by_its_volumes():
    assert chamber_l(10.0, times=2, volumes=3.0) == 60.0


def test_a_stretch_adds_up_everything_that_is_drawn():
    stretch = Stretch(
        minutes=10,
        metered_l_min=2,
        steady_l_min=0.2,
        minute_volume_l_min=5,
        litres=3,
        flush_min=0.2,
    )

    # 20 fresh + 2 sampled + 10 x 5 x 0.4 driven + 3 lump + 0.2 min of 50 L/min
    assert stretch_l(stretch, 0.4, 50.0) == pytest.approx(20 + 2 + 20 + 3 + 10)


@given(minutes, flows, flows)
def test_twice_as_long_takes_twice_as_much(length, metered, steady):
    once = Stretch(minutes=length, metered_l_min=metered, steady_l_min=steady)
    twice = Stretch(minutes=2 * length, metered_l_min=metered, steady_l_min=steady)

    assert stretch_l(twice, 0.0, 0.0) == pytest.approx(2 * stretch_l(once, 0.0, 0.0))


def test_the_peak_counts_drive_gas_and_leaves_lumps_out():
    quiet = Stretch(minutes=5, metered_l_min=1, litres=500)
    driven = Stretch(minutes=5, metered_l_min=1, minute_volume_l_min=8)
    day = MachineDemand(
        cases=(CaseDemand(begin_min=600, stretches=(quiet, driven)),), drive_low=0.5, drive_high=1.5
    )

    assert concurrent_peak_l_min([day]) == pytest.approx(1 + 8 * 1.0)
    assert day.total_l == pytest.approx(5 + 500 + 5 * 9)


def test_two_machines_at_one_time_peak_together_and_one_after_the_other_do_not():
    def day(begin):
        hour = Stretch(minutes=60, metered_l_min=2)
        return MachineDemand(cases=(CaseDemand(begin_min=begin, stretches=(hour,)),))

    assert concurrent_peak_l_min([day(600), day(630)]) == 4.0
    assert concurrent_peak_l_min([day(600), day(660)]) == 2.0


def test_a_day_without_cases_has_no_peak():
    assert concurrent_peak_l_min([MachineDemand(cases=())]) == 0.0


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_what_is_no_demand_is_refused(value):
    with pytest.raises(InvalidQuantity, match="metered_l_min"):
        Stretch(minutes=5, metered_l_min=value)
    with pytest.raises(InvalidQuantity, match="minutes"):
        Stretch(minutes=value)
    with pytest.raises(InvalidQuantity, match="leak_l_min"):
        leak_lost_l(value, 10.0)


def test_a_drive_factor_beyond_any_ventilator_is_refused():
    with pytest.raises(InvalidQuantity, match="drive_factor is 20"):
        drive_gas_l_min(5.0, 20.0)

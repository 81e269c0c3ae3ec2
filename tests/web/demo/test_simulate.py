"""What really happened in the cylinders: litres are conserved, gauges read to their marks."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.web.demo.simulate import (
    Draw,
    Gauge,
    Room,
    Setting,
    Tank,
    flow_grid,
    open_grid,
    room_temperature_k,
    run_tanks,
)

pytestmark = pytest.mark.web

DAY = 1440
NO_ERROR = Gauge(offset_kpa=0.0, step_kpa=1.0)


def rng(seed=7):
    return np.random.default_rng(seed)


def draw(start, end, flow=2.0, machine="Wren", **more):
    return Draw(start=start, end=end, flow_l_min=flow, machine=machine, **more)


def ideal_kpa(water_capacity_l, left_l, kelvin):
    """A gas that is easy on paper: 1 L of it in 1 L is 100 kPa at 300 K."""
    return 100.0 * left_l / water_capacity_l * kelvin / 300.0


def setting(flows, times, is_open=None, **more):
    minutes = len(flows)
    known = {
        "flows": np.asarray(flows, dtype=float),
        "is_open": np.ones(minutes, dtype=bool) if is_open is None else is_open,
        "temperature_k": np.full(minutes, 300.0),
        "reading_times": times,
        "gauge": NO_ERROR,
        "gauge_of": ideal_kpa,
        "change_below_kpa": 0.0,
    }
    return Setting(**{**known, **more})


def test_what_is_left_is_what_was_there_less_what_flowed():
    """2 L/min for 60 min out of 500 L leave 380 L: 7600 kPa in 5 L."""
    flows = np.zeros(200)
    flows[50:110] = 2.0
    (run,) = run_tanks(
        setting(flows, [0, 80, 150]), [Tank(water_capacity_l=5.0, litres=500.0)], rng()
    )

    assert run.left_l == pytest.approx(380.0)
    # At minute 80 half of it has flowed.
    assert [one.gauge_kpa for one in run.readings] == pytest.approx([10_000.0, 8800.0, 7600.0])


def test_a_leak_runs_only_while_the_valve_is_open():
    """0.1 L/min, open for 100 of 300 min: 10 L are gone."""
    is_open = np.zeros(300, dtype=bool)
    is_open[100:200] = True
    tank = Tank(water_capacity_l=5.0, litres=500.0, leak_l_min=0.1)
    (run,) = run_tanks(setting(np.zeros(300), [90, 290], is_open), [tank], rng())

    assert [one.gauge_kpa for one in run.readings] == [10_000.0, 9800.0]
    assert run.left_l == pytest.approx(490.0)


@given(
    flow=st.floats(0.1, 10.0),
    leak=st.floats(0.0, 0.5),
    start=st.integers(0, 400),
    long=st.integers(1, 500),
    litres=st.floats(100.0, 7000.0),
)
def test_no_litre_is_made_or_lost(flow, leak, start, long, litres):
    minutes = 1000
    flows = np.zeros(minutes)
    flows[start : start + long] = flow
    is_open = np.zeros(minutes, dtype=bool)
    is_open[start : start + long] = True
    tank = Tank(water_capacity_l=10.0, litres=litres, leak_l_min=leak)
    (run,) = run_tanks(setting(flows, [0, minutes - 1], is_open), [tank], rng())

    gone = flow * long + leak * long
    assert run.left_l == pytest.approx(max(0.0, litres - gone), rel=1e-9, abs=1e-9)


def test_an_empty_one_reads_nothing_and_never_less():
    flows = np.full(200, 5.0)
    off = Gauge(offset_kpa=-300.0, step_kpa=100.0)
    tank = Tank(water_capacity_l=5.0, litres=100.0)
    (run,) = run_tanks(setting(flows, [0, 100, 199], gauge=off), [tank], rng())

    assert [one.gauge_kpa for one in run.readings] == [1700.0, 0.0, 0.0]
    assert run.left_l == 0.0


def test_a_cold_night_lowers_the_needle_and_takes_no_gas():
    kelvin = np.full(200, 300.0)
    kelvin[100:] = 285.0
    tank = Tank(water_capacity_l=5.0, litres=500.0)
    (run,) = run_tanks(setting(np.zeros(200), [10, 150], temperature_k=kelvin), [tank], rng())

    # 285/300 of 10000 kPa.
    assert [one.gauge_kpa for one in run.readings] == [10_000.0, 9500.0]
    assert run.left_l == 500.0


def test_below_the_mark_of_the_house_the_next_one_is_put_on_full():
    flows = np.full(600, 1.0)
    tanks = [Tank(water_capacity_l=5.0, litres=200.0), Tank(water_capacity_l=5.0, litres=400.0)]
    told = setting(flows, [0, 100, 170, 300, 500], change_below_kpa=1000.0)
    first, second = run_tanks(told, tanks, rng())

    # 30 L are left at minute 170: 600 kPa. It is taken off, and the other read at once.
    assert first.off_at == 174.0
    assert first.left_l == pytest.approx(30.0)
    assert second.on_at == 175.0
    assert second.readings[0].gauge_kpa == 8000.0
    assert second.readings[0].at == 176.0
    # From minute 175 to 500 it gives 325 L.
    assert second.left_l == pytest.approx(75.0)
    assert second.off_at is None


def test_the_last_one_stays_on_however_low_it_is():
    told = setting(np.full(300, 1.0), [0, 290], change_below_kpa=1000.0)
    (run,) = run_tanks(told, [Tank(water_capacity_l=5.0, litres=300.0)], rng())

    assert run.off_at is None
    assert run.readings[-1].gauge_kpa == 200.0


def test_a_run_that_starts_later_owes_nothing_to_what_flowed_before():
    told = setting(np.full(300, 1.0), [100, 200], starts_at=100)
    (run,) = run_tanks(told, [Tank(water_capacity_l=5.0, litres=300.0)], rng())

    assert [one.gauge_kpa for one in run.readings] == [6000.0, 4000.0]


@pytest.mark.parametrize(
    ("true", "offset", "step", "shown"),
    [
        (7123.0, 0.0, 200.0, 7200.0),
        (7099.0, 0.0, 200.0, 7000.0),
        (7123.0, 80.0, 100.0, 7200.0),
        (50.0, -200.0, 100.0, 0.0),
        # What is empty reads nothing, however far the gauge is off.
        (0.5, 400.0, 100.0, 0.0),
    ],
)
def test_a_gauge_is_read_to_its_nearest_mark(true, offset, step, shown):
    assert Gauge(offset_kpa=offset, step_kpa=step).read_kpa(true) == pytest.approx(shown)


@given(st.floats(2.0, 20_000.0), st.floats(-300.0, 300.0), st.sampled_from([100.0, 200.0, 500.0]))
def test_a_reading_is_never_further_off_than_offset_and_half_a_mark(true, offset, step):
    shown = Gauge(offset_kpa=offset, step_kpa=step).read_kpa(true)

    assert shown >= 0.0
    assert abs(shown - max(0.0, true + offset)) <= step / 2 + 1e-6


def test_meant_flows_add_up_and_each_meter_is_off_by_its_own_share():
    flows = flow_grid(
        [draw(10, 20, 2.0), draw(15, 25, 1.0, "Heron")], 40, {"Wren": 1.1, "Heron": 0.9}, rng()
    )

    assert np.all(flows[:10] == 0.0)
    assert np.all(flows[25:] == 0.0)
    # 2 % of setting to setting, so within 10 % of the share.
    assert flows[12] == pytest.approx(2.2, rel=0.1)
    assert flows[22] == pytest.approx(0.9, rel=0.1)
    assert flows[17] == pytest.approx(flows[12] + flows[22])


def test_a_flow_that_reaches_past_the_story_is_cut_there():
    flows = flow_grid([draw(-10, 5), draw(38, 90)], 40, {}, rng())

    assert np.count_nonzero(flows) == 5 + 2


def test_the_true_flow_is_near_the_meant_one_over_many_settings():
    flows = flow_grid([draw(10 * n, 10 * n + 10, 1.0) for n in range(400)], 4000, {}, rng())

    # 400 settings of 2 %: the mean is known to 0.1 %.
    assert flows.mean() == pytest.approx(1.0, abs=0.005)
    assert flows[::10].std() == pytest.approx(0.02, abs=0.003)


def test_the_valve_is_open_from_before_the_first_use_to_after_the_last():
    grid = open_grid([draw(600, 660), draw(800, 900)], DAY, set())

    assert not grid[579]
    assert grid[580]
    assert grid[700]
    assert grid[911]
    assert not grid[912]


def test_a_night_left_open_lasts_until_the_next_day_of_use():
    """Used on days 0 and 2: open until half past seven of day 2."""
    draws = [draw(600, 660), draw(2 * DAY + 600, 2 * DAY + 660)]
    grid = open_grid(draws, 3 * DAY, {0})

    assert grid[580 : 2 * DAY + 450].all()
    assert not grid[2 * DAY + 450 : 2 * DAY + 580].any()


def test_left_open_on_the_last_day_of_use_it_stays_open():
    assert open_grid([draw(600, 660)], 2 * DAY, {0})[661:].all()


def test_the_room_is_warmest_at_three_in_the_afternoon_and_coolest_at_three_at_night():
    still = Room(day_k=294.0, night_drop_k=6.0, days_sd_k=0.0)
    kelvin = room_temperature_k(still, 3, rng())

    assert len(kelvin) == 3 * DAY
    assert kelvin[15 * 60] == pytest.approx(294.0)
    assert kelvin[3 * 60] == pytest.approx(288.0)
    assert np.argmax(kelvin[:DAY]) == 15 * 60
    assert np.argmin(kelvin[:DAY]) == 3 * 60


def test_days_differ_by_as_much_as_the_room_says():
    kelvin = room_temperature_k(Room(day_k=294.0, night_drop_k=0.0, days_sd_k=2.0), 900, rng())

    assert kelvin[::DAY].std() == pytest.approx(2.0, abs=0.15)
    assert all(len(set(kelvin[at : at + DAY])) == 1 for at in (0, DAY, 5 * DAY))


def test_what_a_person_says_of_the_valve_follows_from_how_long_it_was_open():
    is_open = np.zeros(400, dtype=bool)
    is_open[100:200] = True
    tank = Tank(water_capacity_l=5.0, litres=300.0)
    (run,) = run_tanks(setting(np.zeros(400), [0, 100, 200, 250, 390], is_open), [tank], rng())

    # Never before; shut; open all the time; shut again; shut.
    said = ["unknown", "closed", "open", "closed", "closed"]
    assert [one.valve_before for one in run.readings] == said


def test_a_valve_that_was_open_half_of_the_time_is_not_known():
    is_open = np.zeros(200, dtype=bool)
    is_open[:50] = True
    tank = Tank(water_capacity_l=5.0, litres=300.0)
    (run,) = run_tanks(setting(np.zeros(200), [0, 100], is_open), [tank], rng())

    assert run.readings[1].valve_before == "unknown"


def test_only_some_write_down_how_warm_it_is_and_to_half_a_degree():
    tank = Tank(water_capacity_l=5.0, litres=300.0)
    (run,) = run_tanks(setting(np.zeros(2000), list(range(0, 2000, 2))), [tank], rng())
    noted = [one.temperature_k for one in run.readings if one.temperature_k is not None]

    # 1000 looks, 30 % of them.
    assert 250 < len(noted) < 350
    assert all(2.0 * one == round(2.0 * one) for one in noted)
    assert np.mean(noted) == pytest.approx(300.0, abs=0.1)


def test_time_goes_forward_in_every_run():
    flows = np.full(3000, 1.0)
    tanks = [Tank(water_capacity_l=5.0, litres=400.0) for _ in range(6)]
    runs = run_tanks(
        setting(flows, list(range(0, 3000, 37)), change_below_kpa=1500.0), tanks, rng()
    )

    assert len(runs) > 3
    for one in runs:
        assert all(a.at <= b.at for a, b in pairwise(one.readings))
        assert one.on_at <= one.readings[0].at
    assert all(before.off_at < after.on_at for before, after in pairwise(runs))


def test_the_same_dice_tell_the_same_story():
    told = setting(np.full(500, 1.0), list(range(0, 500, 25)))
    tank = Tank(water_capacity_l=5.0, litres=700.0)

    assert run_tanks(told, [tank], rng(3)) == run_tanks(told, [tank], rng(3))
    assert run_tanks(told, [tank], rng(3)) != run_tanks(told, [tank], rng(4))

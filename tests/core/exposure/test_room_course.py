"""The two boxes against closed forms, two general solvers, and their laws."""

from itertools import pairwise
from math import exp, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from ullage.core.errors import InvalidQuantity
from ullage.core.exposure import room_built_up_ppm, room_decayed_ppm, room_steady_ppm
from ullage.core.exposure.room_course import (
    NearBox,
    Puff,
    RoomAir,
    Stream,
    near_box_of,
    near_steady_ppm,
    room_course,
)

BENCH = NearBox(volume_m3=1.07, exchange_m3_min=12.0)
AIRS = {
    "one box": RoomAir(room_m3=45.0, air_changes_per_h=12.0),
    "two boxes": RoomAir(room_m3=45.0, air_changes_per_h=12.0, near=BENCH),
    "badly mixed": RoomAir(room_m3=30.0, air_changes_per_h=4.0, mixing_factor=7.0, near=BENCH),
    "no fresh air": RoomAir(room_m3=30.0, air_changes_per_h=0.0, near=BENCH),
    "hardly any": RoomAir(room_m3=30.0, air_changes_per_h=1e-6, near=BENCH),
    "still air": RoomAir(
        room_m3=500.0, air_changes_per_h=30.0, near=NearBox(volume_m3=0.2, exchange_m3_min=0.05)
    ),
}
EVERY_AIR = pytest.mark.parametrize("air", AIRS.values(), ids=AIRS.keys())

MORNING = (
    Stream(start_min=10.0, end_min=130.0, vapour_l_min=0.012),
    Stream(start_min=40.0, end_min=55.5, vapour_l_min=0.2, near=False),
    Stream(start_min=130.0, end_min=190.0, vapour_l_min=0.0007),
    Puff(at_min=10.0, vapour_l=0.15),
    Puff(at_min=75.25, vapour_l=0.08),
    Puff(at_min=75.25, vapour_l=0.02, near=False),
)
TIMES = np.unique(np.concatenate([np.linspace(0.0, 240.0, 97), [75.25, 130.0]]))


def boxes(air):
    """Volumes and matrix of rates, written down anew from the two balances."""
    room, fresh = 1000.0 * air.room_m3, air.fresh_l_min
    if air.near is None:
        return np.array([room]), np.array([[-fresh / room]])
    near, swap = 1000.0 * air.near.volume_m3, 1000.0 * air.near.exchange_m3_min
    far = room - near
    balance = np.array([[-swap, swap], [swap, -swap - fresh]])
    volumes = np.array([near, far])
    return volumes, balance / volumes[:, None]


def rates(sources, volumes, at):
    found = np.zeros(volumes.size)
    for one in sources:
        if isinstance(one, Stream) and one.start_min <= at < one.end_min:
            found[0 if one.near else -1] += 1e6 * one.vapour_l_min
    return found / volumes


def puffs(sources, volumes, at):
    found = np.zeros(volumes.size)
    for one in sources:
        if isinstance(one, Puff) and one.at_min == at:
            found[0 if one.near else -1] += 1e6 * one.vapour_l
    return found / volumes


def by_steps(air, sources, times, step):
    """March from time to time, changes included, with some way of taking one step."""
    volumes, matrix = boxes(air)
    changes = {float(times[0])}
    for one in sources:
        changes |= {one.at_min} if isinstance(one, Puff) else {one.start_min, one.end_min}
    edges = sorted(changes | set(map(float, times)))
    level, dose = puffs(sources, volumes, edges[0]), np.zeros(volumes.size)
    kept = {edges[0]: (level, dose)}
    for low, high in pairwise(edges):
        level, more = step(matrix, level, rates(sources, volumes, low), high - low)
        level, dose = level + puffs(sources, volumes, high), dose + more
        kept[high] = (level, dose)
    return tuple(np.array([kept[float(at)][part] for at in times]) for part in (0, 1))


def integrated(matrix, level, rate, minutes):
    count = level.size
    found = solve_ivp(
        lambda _, state: np.concatenate([matrix @ state[:count] + rate, state[:count]]),
        (0.0, minutes),
        np.concatenate([level, np.zeros(count)]),
        method="DOP853",
        rtol=1e-12,
        atol=1e-13,
    )
    return found.y[:count, -1], found.y[count:, -1]


def exponentiated(matrix, level, rate, minutes):
    count = level.size
    whole = np.zeros((2 * count + 1, 2 * count + 1))
    whole[:count, :count], whole[:count, -1] = matrix, rate
    whole[count : 2 * count, :count] = np.eye(count)
    state = expm(whole * minutes) @ np.concatenate([level, np.zeros(count), [1.0]])
    return state[:count], state[count : 2 * count]


@EVERY_AIR
@pytest.mark.parametrize(
    ("step", "share"), [(integrated, 1e-8), (exponentiated, 1e-9)], ids=["integrator", "expm"]
)
def test_a_morning_is_that_of_a_general_solver(air, step, share):
    levels, doses = by_steps(air, MORNING, TIMES, step)

    found = room_course(air, MORNING, TIMES)

    assert found.near_ppm == pytest.approx(levels[:, 0], rel=share, abs=1e-9)
    assert found.far_ppm == pytest.approx(levels[:, -1], rel=share, abs=1e-9)
    assert found.near_dose == pytest.approx(doses[:, 0], rel=share, abs=1e-8)
    assert found.far_dose == pytest.approx(doses[:, -1], rel=share, abs=1e-8)


def test_one_box_is_the_closed_form():
    air, on = AIRS["one box"], Stream(start_min=0.0, end_min=60.0, vapour_l_min=0.012)

    found = room_course(air, [on], [0.0, 20.0, 60.0, 90.0])

    top = room_built_up_ppm(0.012, 45.0, 12.0, 60.0)
    assert found.far_ppm[1] == pytest.approx(room_built_up_ppm(0.012, 45.0, 12.0, 20.0), rel=1e-9)
    assert found.far_ppm[2] == pytest.approx(top, rel=1e-9)
    assert found.far_ppm[3] == pytest.approx(room_decayed_ppm(top, 12.0, 30.0), rel=1e-9)
    assert np.array_equal(found.near_ppm, found.far_ppm)


def test_a_puff_decays_as_the_closed_form():
    found = room_course(AIRS["one box"], [Puff(at_min=5.0, vapour_l=0.2)], [0.0, 5.0, 20.0])

    start = 1e6 * 0.2 / 45_000.0
    assert found.far_ppm.tolist()[:2] == [0.0, pytest.approx(start, rel=1e-12)]
    assert found.far_ppm[2] == pytest.approx(start * exp(-12.0 * 15.0 / 60.0), rel=1e-9)
    dose = start * 5.0 * (1.0 - exp(-3.0))
    assert found.far_dose[2] == pytest.approx(dose, rel=1e-9)


@pytest.mark.parametrize("mixing", [1.0, 4.0])
def test_in_the_end_both_boxes_stand_at_their_steady_levels(mixing):
    air = RoomAir(room_m3=45.0, air_changes_per_h=12.0, mixing_factor=mixing, near=BENCH)
    on = Stream(start_min=0.0, end_min=1e5, vapour_l_min=0.012)

    found = room_course(air, [on], [0.0, 1e4])

    far = room_steady_ppm(0.012, 45.0, 12.0, mixing)
    assert found.far_ppm[-1] == pytest.approx(far, rel=1e-9)
    near = near_steady_ppm(0.012, 9000.0, 12.0, mixing)
    assert found.near_ppm[-1] == pytest.approx(near, rel=1e-9)


def released_until(sources, at):
    streams = (one for one in sources if isinstance(one, Stream))
    steady = sum(
        one.vapour_l_min * max(0.0, min(at, one.end_min) - one.start_min) for one in streams
    )
    return steady + sum(
        one.vapour_l for one in sources if isinstance(one, Puff) and one.at_min <= at
    )


@EVERY_AIR
def test_what_escaped_is_in_the_room_or_was_taken_away(air):
    found = room_course(air, MORNING, TIMES)

    released = np.array([released_until(MORNING, at) for at in TIMES])
    assert found.held_l + found.swept_l == pytest.approx(released, rel=1e-9, abs=1e-12)


a_near_box = st.builds(
    NearBox, volume_m3=st.floats(0.05, 4.0), exchange_m3_min=st.floats(0.01, 60.0)
)
an_air = st.builds(
    RoomAir,
    room_m3=st.floats(5.0, 800.0),
    air_changes_per_h=st.floats(0.0, 40.0),
    mixing_factor=st.floats(1.0, 10.0),
    near=st.none() | a_near_box,
)
a_stream = st.builds(
    lambda start, long, flow, near: Stream(
        start_min=start, end_min=start + long, vapour_l_min=flow, near=near
    ),
    st.floats(0.0, 300.0),
    st.floats(0.0, 200.0),
    st.floats(0.0, 3.0),
    st.booleans(),
)
a_puff = st.builds(
    Puff, at_min=st.floats(0.0, 500.0), vapour_l=st.floats(0.0, 20.0), near=st.booleans()
)


@settings(max_examples=60)
@given(an_air, st.lists(a_stream | a_puff, max_size=6))
def test_conservation_holds_in_any_room_with_any_sources(air, sources):
    times = np.linspace(0.0, 600.0, 25)

    found = room_course(air, sources, times)

    released = np.array([released_until(sources, at) for at in times])
    # A slow drain is a small difference of the two, so the sum is held to the whole.
    assert found.held_l + found.swept_l == pytest.approx(released, rel=1e-8, abs=1e-9)
    assert found.near_ppm.min() >= -1e-9
    assert found.far_ppm.min() >= -1e-9
    assert np.all(np.diff(found.swept_l) >= -1e-9)


@settings(max_examples=40)
@given(an_air, st.lists(a_stream | a_puff, max_size=4), st.lists(a_stream | a_puff, max_size=4))
def test_levels_of_two_sets_of_sources_add_up(air, some, others):
    times = [0.0, 50.0, 200.0, 600.0]

    apart = [room_course(air, one, times).near_ppm for one in (some, others)]

    together = room_course(air, [*some, *others], times).near_ppm
    assert together == pytest.approx(apart[0] + apart[1], rel=1e-9, abs=1e-9)


def test_averages_are_the_integrals_over_the_time():
    fine = np.linspace(0.0, 240.0, 24_001)
    found = room_course(AIRS["two boxes"], MORNING, fine)

    near, far = found.average_ppm(30.0, 70.0)

    inside = (fine >= 30.0 - 1e-9) & (fine <= 70.0 + 1e-9)
    assert near == pytest.approx(
        np.trapezoid(found.near_ppm[inside], fine[inside]) / 40.0, rel=1e-6
    )
    assert far == pytest.approx(np.trapezoid(found.far_ppm[inside], fine[inside]) / 40.0, rel=1e-6)


def test_the_peak_is_the_one_before_or_after_a_change():
    air = AIRS["one box"]
    sources = [Puff(at_min=7.0, vapour_l=0.2)]

    found = room_course(air, sources, [0.0, 10.0])

    assert found.peak_ppm[1] == pytest.approx(1e6 * 0.2 / 45_000.0, rel=1e-12)
    assert found.far_ppm.max() < found.peak_ppm[1]


def test_a_start_that_is_not_clean_decays():
    found = room_course(AIRS["one box"], [], [0.0, 30.0], start_ppm=16.0)

    assert found.far_ppm[-1] == pytest.approx(room_decayed_ppm(16.0, 12.0, 30.0), rel=1e-9)


def test_the_half_ball_over_a_bench():
    box = near_box_of(0.5, 6.0)

    assert box.volume_m3 == pytest.approx(2.0 / 3.0 * np.pi * 0.125, rel=1e-12)
    assert box.exchange_m3_min == pytest.approx(np.pi * 0.25 * 6.0, rel=1e-12)


@pytest.mark.parametrize(
    "times", [[], [0.0, -1.0], [nan, 1.0], [[0.0, 1.0]]], ids=["none", "back", "nan", "shape"]
)
def test_times_that_cannot_be_are_refused(times):
    with pytest.raises(InvalidQuantity, match="must be"):
        room_course(AIRS["one box"], [], times)


def test_what_cannot_be_is_refused():
    with pytest.raises(InvalidQuantity, match="near box"):
        RoomAir(room_m3=1.0, air_changes_per_h=1.0, near=BENCH)
    with pytest.raises(InvalidQuantity, match="end_min"):
        Stream(start_min=5.0, end_min=4.0, vapour_l_min=0.1)
    with pytest.raises(InvalidQuantity, match="vapour_l"):
        Puff(at_min=0.0, vapour_l=-0.1)
    with pytest.raises(InvalidQuantity, match="start_ppm"):
        room_course(AIRS["one box"], [], [0.0], start_ppm=-1.0)
    with pytest.raises(InvalidQuantity, match="one of the times"):
        room_course(AIRS["one box"], [], [0.0, 9.0]).average_ppm(0.0, 5.0)

"""Well-mixed boxes against closed forms and against what others printed."""

from math import exp, inf, log, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.exposure import (
    air_changes_from_decay_per_h,
    fresh_air_from_half_time_m3_h,
    room_air_l_min,
    room_built_up_ppm,
    room_decayed_ppm,
    room_from_steady_m3,
    room_steady_ppm,
    swept_fraction,
    swept_min,
)

ROOMS = st.floats(5.0, 2000.0)
CHANGES = st.floats(0.1, 60.0)
VAPOUR = st.floats(1e-6, 5.0)
MIXING = st.floats(1.0, 10.0)
TIMES = st.floats(0.0, 600.0)


@given(VAPOUR, ROOMS, CHANGES, MIXING, TIMES)
def test_the_level_builds_up_as_the_closed_form_says(vapour, room, changes, mixing, minutes):
    end = 1e6 * mixing * vapour / (room * 1000.0 * changes / 60.0)
    gone = changes / mixing * minutes / 60.0

    found = room_built_up_ppm(vapour, room, changes, minutes, mixing)

    assert found == pytest.approx(end * (1.0 - exp(-gone)), rel=1e-9, abs=1e-9)


@given(VAPOUR, ROOMS, CHANGES, MIXING)
def test_the_level_ends_where_the_steady_one_is(vapour, room, changes, mixing):
    long = 60.0 * mixing / changes * 40.0

    assert room_built_up_ppm(vapour, room, changes, long, mixing) == pytest.approx(
        room_steady_ppm(vapour, room, changes, mixing), rel=1e-9
    )


@given(VAPOUR, ROOMS, TIMES)
def test_without_fresh_air_all_that_escapes_stays(vapour, room, minutes):
    held_l = room_built_up_ppm(vapour, room, 0.0, minutes) * 1e-6 * room * 1000.0

    assert held_l == pytest.approx(vapour * minutes, rel=1e-9)


@given(st.floats(1.0, 1e5), st.floats(1e-3, 0.99), CHANGES, MIXING)
def test_a_decay_is_read_back_as_the_air_changes_that_work(start, share, changes, mixing):
    minutes = -60.0 * mixing / changes * log(share)

    assert room_decayed_ppm(start, changes, minutes, mixing) == pytest.approx(
        share * start, rel=1e-9
    )
    assert air_changes_from_decay_per_h(start, share * start, minutes) == pytest.approx(
        changes / mixing, rel=1e-9
    )


@given(st.floats(0.2, 50.0), st.floats(0.1, 20.0), st.floats(1e-4, 0.99))
def test_the_time_to_purge_leaves_what_was_asked(volume, flow, share):
    minutes = swept_min(volume, flow, 20_000.0, 20_000.0 * share)

    assert swept_fraction(volume, flow, minutes) == pytest.approx(share, rel=1e-9)


def test_a_level_already_reached_takes_no_time():
    assert swept_min(4.0, 4.0, 10.0, 20.0) == 0.0


def test_mixing_badly_takes_longer_in_proportion():
    assert swept_min(4.0, 2.0, 100.0, 1.0, 3.0) == pytest.approx(
        3.0 * swept_min(4.0, 2.0, 100.0, 1.0)
    )


@given(VAPOUR, ROOMS, CHANGES)
def test_a_steady_level_gives_back_the_room(vapour, room, changes):
    level = room_steady_ppm(vapour, room, changes)

    assert room_from_steady_m3(vapour, changes, level) == pytest.approx(room, rel=1e-9)


# Tracer note: 20 m³, the tracer halves in 1.4 h: 9.9 m³/h; 16 ppm became 9.7 measured after 1 h,
# and 9.75 by the formula (fact table row WG11).
@pytest.mark.published("machine_S128")
def test_the_published_tracer_example():
    fresh = fresh_air_from_half_time_m3_h(20.0, 84.0)

    assert fresh == pytest.approx(9.9, abs=0.05)
    assert room_decayed_ppm(16.0, fresh / 20.0, 60.0) == pytest.approx(9.7, abs=0.1)


# Virtue 1979: 20 air changes, 500 mL/min of nitrous oxide, worst mean 31 ppm, so a room of 48 m³
# (fact table row WG12).
@pytest.mark.published("machine_S129")
def test_the_theatre_whose_level_was_published():
    assert room_from_steady_m3(0.5, 20.0, 31.0) == pytest.approx(48.4, abs=1.0)
    # Scavenged, at up to 2.5 L/min, 7.2 ppm: all of it would have come to 155 ppm.
    assert room_steady_ppm(2.5, 48.4, 20.0) == pytest.approx(155.0, abs=1.0)


def test_rooms_that_cannot_be_are_refused():
    for room, changes in ((0.0, 15.0), (-1.0, 15.0), (50.0, -1.0), (nan, 15.0), (50.0, inf)):
        with pytest.raises(InvalidQuantity, match="must be"):
            room_air_l_min(room, changes)


@pytest.mark.parametrize("mixing", [0.99, 0.0, -1.0, 101.0, nan, inf])
def test_a_mixing_factor_below_one_is_refused(mixing):
    with pytest.raises(InvalidQuantity, match="mixing_factor"):
        room_steady_ppm(0.01, 50.0, 15.0, mixing)


@pytest.mark.parametrize("end", [16.0, 17.0, 0.0, nan])
def test_a_tracer_that_did_not_fall_says_nothing(end):
    with pytest.raises(InvalidQuantity, match="must be"):
        air_changes_from_decay_per_h(16.0, end, 60.0)


def test_no_steady_level_without_fresh_air():
    with pytest.raises(InvalidQuantity, match="air_changes_per_h"):
        room_steady_ppm(0.01, 50.0, 0.0)

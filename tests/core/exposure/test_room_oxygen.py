from math import exp

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.exposure import (
    AIR_OXYGEN_FRACTION,
    Mixing,
    Released,
    most_leak_share,
    room_limit_min,
    room_oxygen_after_fraction,
    room_oxygen_later_fraction,
    room_oxygen_steady_fraction,
    smallest_room_m3,
)
from ullage.reference import sourced

rooms_m3 = st.floats(5.0, 500.0)
leaks_l_min = st.floats(0.1, 200.0)
releases_l = st.floats(1.0, 5000.0)
changes_per_h = st.floats(0.1, 20.0)
released_gases = st.sampled_from(Released)
mixings = st.sampled_from(Mixing)

ENRICHED, DEFICIENT = 0.235, 0.195


def limit_of(released: Released) -> float:
    return ENRICHED if released is Released.OXYGEN else DEFICIENT


# Supply section 7.3, S63: 10 L/min into 30 m3 at 0.5, 1, 2 and 6 changes an hour; computed.
@pytest.mark.parametrize(
    ("per_hour", "percent"), [(0.5, 24.0), (1.0, 22.5), (2.0, 21.7), (6.0, 21.2)]
)
def test_a_steady_leak_comes_to_what_the_fact_base_prints(per_hour, percent):
    found = room_oxygen_steady_fraction(30.0, per_hour, 10.0)

    assert 100.0 * found == pytest.approx(percent, abs=0.051)


# The same section: a whole nitrous oxide E (1590 L) into 30 m3 leaves 19.9 %; computed by
# displacement. The bulk form takes a little more away, 19.84 %.
def test_a_gas_without_oxygen_takes_it_away():
    displaced, bulk = (
        room_oxygen_after_fraction(30.0, 1590.0, Released.INERT, one)
        for one in (Mixing.DISPLACEMENT, Mixing.BULK)
    )

    assert 100.0 * displaced == pytest.approx(19.9, abs=0.05)
    assert bulk < displaced
    assert bulk == pytest.approx(AIR_OXYGEN_FRACTION * (30.0 - 1.59) / 30.0)


def test_the_two_forms_are_those_on_paper():
    share = 660.0 / 30_000.0
    displaced = room_oxygen_after_fraction(30.0, 660.0, mixing=Mixing.DISPLACEMENT)
    bulk = room_oxygen_after_fraction(30.0, 660.0, mixing=Mixing.BULK)

    assert displaced == pytest.approx(1.0 - (1.0 - 0.2095) * exp(-share))
    assert bulk == pytest.approx(0.2095 + 0.7905 * share)


@given(rooms_m3, releases_l, released_gases)
def test_the_hazard_takes_the_form_that_is_further_from_air(room, release, released):
    forms = [
        abs(room_oxygen_after_fraction(room, release, released, one) - AIR_OXYGEN_FRACTION)
        for one in (Mixing.DISPLACEMENT, Mixing.BULK)
    ]
    worst = room_oxygen_after_fraction(room, release, released)

    assert abs(worst - AIR_OXYGEN_FRACTION) == pytest.approx(max(forms))


@given(rooms_m3, st.floats(0.0, 1e6), released_gases, mixings)
def test_oxygen_stays_between_none_and_all(room, release, released, mixing):
    assert 0.0 <= room_oxygen_after_fraction(room, release, released, mixing) <= 1.0


@given(releases_l, released_gases, mixings)
def test_the_smallest_room_comes_just_to_the_limit(release, released, mixing):
    limit = limit_of(released)
    room = smallest_room_m3(release, limit, released, mixing)

    assert room_oxygen_after_fraction(room, release, released, mixing) == pytest.approx(limit)


@given(releases_l, released_gases)
def test_the_smallest_room_of_the_hazard_is_the_larger_of_both(release, released):
    both = [
        smallest_room_m3(release, limit_of(released), released, one)
        for one in (Mixing.DISPLACEMENT, Mixing.BULK)
    ]

    assert smallest_room_m3(release, limit_of(released), released) == pytest.approx(max(both))


@given(rooms_m3, leaks_l_min, released_gases)
def test_at_the_time_of_the_limit_the_room_is_at_the_limit(room, leak, released):
    limit = limit_of(released)
    minutes = room_limit_min(room, leak, limit, released)
    there = room_oxygen_later_fraction(room, 0.0, leak, minutes, released)

    assert there == pytest.approx(limit)


@given(rooms_m3, changes_per_h, leaks_l_min, released_gases)
def test_in_the_end_a_leak_comes_to_its_steady_share(room, per_hour, leak, released):
    later = room_oxygen_later_fraction(room, per_hour, leak, 1e6, released)

    assert later == pytest.approx(room_oxygen_steady_fraction(room, per_hour, leak, released))


@given(rooms_m3, changes_per_h, leaks_l_min, st.floats(0.0, 1000.0), st.floats(1.0, 1000.0))
def test_a_leak_never_turns_back(room, per_hour, leak, minutes, more):
    first = room_oxygen_later_fraction(room, per_hour, leak, minutes)
    later = room_oxygen_later_fraction(room, per_hour, leak, minutes + more)

    assert AIR_OXYGEN_FRACTION - 1e-12 <= first <= later + 1e-12


@given(rooms_m3, changes_per_h, released_gases)
def test_the_largest_leak_keeps_the_room_at_its_limit(room, per_hour, released):
    limit = limit_of(released)
    fresh_l_min = per_hour * room * 1000.0 / 60.0
    leak = most_leak_share(limit, released) * fresh_l_min

    assert room_oxygen_steady_fraction(room, per_hour, leak, released) == pytest.approx(limit)


def test_a_leak_must_stay_below_a_thirtieth_of_the_fresh_air():
    assert 1.0 / most_leak_share(ENRICHED) == pytest.approx(30.0)


@given(rooms_m3, changes_per_h, st.floats(0.15, 0.25))
def test_without_a_leak_the_room_is_fresh_air(room, per_hour, air):
    assert room_oxygen_steady_fraction(room, per_hour, 0.0, air_fraction=air) == pytest.approx(air)
    assert room_oxygen_later_fraction(room, 0.0, 0.0, 60.0, air_fraction=air) == air
    assert room_oxygen_after_fraction(room, 0.0, air_fraction=air) == air


@given(rooms_m3, releases_l, releases_l)
def test_displacement_in_two_steps_is_displacement_at_once(room, one, two):
    assume(one + two < 1000.0 * room)
    mixing = Mixing.DISPLACEMENT
    first = room_oxygen_after_fraction(room, one, mixing=mixing)
    both = room_oxygen_after_fraction(room, two, mixing=mixing, air_fraction=first)

    assert both == pytest.approx(room_oxygen_after_fraction(room, one + two, mixing=mixing))


@pytest.mark.parametrize(
    ("limit", "released"),
    [
        (0.195, Released.OXYGEN),
        (0.2095, Released.OXYGEN),
        (1.0, Released.OXYGEN),
        (0.235, Released.INERT),
        (0.0, Released.INERT),
        (float("nan"), Released.INERT),
    ],
)
def test_a_limit_on_the_other_side_of_air_is_refused(limit, released):
    for ask in (
        lambda: smallest_room_m3(660.0, limit, released),
        lambda: room_limit_min(30.0, 10.0, limit, released),
        lambda: most_leak_share(limit, released),
    ):
        with pytest.raises(InvalidQuantity, match=r"limit_fraction is .*above .* and below"):
            ask()


@pytest.mark.parametrize("wrong", [0.0, -1.0, float("nan"), float("inf")])
def test_a_room_that_cannot_be_is_refused(wrong):
    for ask in (
        lambda: room_oxygen_after_fraction(wrong, 660.0),
        lambda: room_oxygen_steady_fraction(wrong, 2.0, 10.0),
        lambda: room_oxygen_later_fraction(wrong, 2.0, 10.0, 60.0),
        lambda: room_limit_min(wrong, 10.0, ENRICHED),
    ):
        with pytest.raises(InvalidQuantity, match="room_m3"):
            ask()


@pytest.mark.parametrize("wrong", [-1.0, float("nan")])
def test_a_leak_or_a_release_that_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="release_l"):
        room_oxygen_after_fraction(30.0, wrong)
    with pytest.raises(InvalidQuantity, match="release_l"):
        smallest_room_m3(wrong, ENRICHED)
    with pytest.raises(InvalidQuantity, match="leak_l_min"):
        room_oxygen_steady_fraction(30.0, 2.0, wrong)
    with pytest.raises(InvalidQuantity, match="elapsed_min"):
        room_oxygen_later_fraction(30.0, 2.0, 10.0, wrong)


def test_the_oxygen_of_fresh_air_is_that_of_the_reference_data():
    assert sourced("room_oxygen", "air_share").value == AIR_OXYGEN_FRACTION

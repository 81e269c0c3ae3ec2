"""Laws of a place of storage: more is never less, and air is never better for a larger leak."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ullage.answers.answer import Verdict
from ullage.answers.chain_links.storage import CODES
from ullage.answers.chain_things import Stored
from ullage.answers.storage import (
    Kept,
    StorageArea,
    full_contents_l,
    one_more_stored,
    store_air,
    store_kept,
    store_leaks,
    stored_within_code,
)
from ullage.answers.things import Cylinder, Gas, Place

few = settings(max_examples=50, deadline=None)
GRAVITY = (Verdict.FINE, Verdict.NOT_YET, Verdict.LOOK_AGAIN, Verdict.STOP)
#: [%] of oxygen in clean air; 20.9 to 21.0 in print.
AIR = pytest.approx(20.95, abs=0.06)
LOOKED_AT = ("apart", "held", "upright", "capped", "far_from_fuel")

lots = st.builds(
    Stored,
    gas=st.sampled_from([Gas.OXYGEN, Gas.NITROUS_OXIDE, Gas.AIR]),
    contents_l=st.floats(100.0, 9_000.0),
    count=st.integers(1, 20),
)
codes = st.sampled_from(sorted(CODES))


def gravity(answer):
    return GRAVITY.index(answer.verdict)


def area(stored, code="nfpa99", **more):
    return StorageArea(name="Store", place=Place(), stored=tuple(stored), code=code, **more)


@few
@given(st.lists(lots, max_size=4), lots, codes)
def test_one_more_counts_as_if_it_stood_there_already(stored, more, code):
    told = one_more_stored(area(stored, code), more)
    there = stored_within_code(area([*stored, more], code))

    assert told.value == pytest.approx(there.value)
    assert told.verdict is there.verdict


@few
@given(st.lists(lots, max_size=4), lots, codes)
def test_more_in_store_is_never_milder_by_any_code(stored, more, code):
    before = stored_within_code(area(stored, code))
    after = stored_within_code(area([*stored, more], code))

    assert after.value >= before.value - 1e-9
    assert gravity(after) >= gravity(before)


@few
@given(lots, st.integers(2, 6))
def test_a_lot_of_several_counts_like_as_many_of_one(lot, parts):
    whole = Stored(gas=lot.gas, contents_l=lot.contents_l, count=parts)
    single = Stored(gas=lot.gas, contents_l=lot.contents_l)

    one, several = stored_within_code(area([whole])), stored_within_code(area([single] * parts))
    assert one.value == pytest.approx(several.value)
    assert one.verdict is several.verdict


@given(st.integers(0, 40))
def test_empties_change_no_tally(count):
    full = Stored(gas=Gas.OXYGEN, contents_l=660.0, count=12)

    with_empties = stored_within_code(area([full], empty=count))
    assert with_empties.value == stored_within_code(area([full])).value


seen = st.fixed_dictionaries(
    {name: st.sampled_from([None, True, False]) for name in LOOKED_AT}
    | {"largest_water_l": st.sampled_from([None, 4.7, 47.0])}
)


@few
@given(seen, st.sampled_from(LOOKED_AT))
def test_what_is_not_as_it_should_be_never_helps_and_what_nobody_saw_is_never_fine(known, name):
    good, open_, bad = (
        store_kept(Kept(**{**known, name: word}), Place()) for word in (True, None, False)
    )

    assert gravity(bad) >= gravity(good)
    assert gravity(open_) >= gravity(good)
    if open_.verdict is Verdict.NOT_YET:
        assert open_.settles


@given(seen)
def test_all_is_fine_only_where_everything_was_looked_at(known):
    answer = store_kept(Kept(**known), Place())
    if answer.verdict is Verdict.FINE:
        asked = [one for one in LOOKED_AT if one != "capped"]
        assert all(known[name] for name in asked)


leaks = st.floats(0.01, 60.0)
rooms = st.floats(5.0, 300.0)


@few
@given(rooms, leaks, leaks, st.one_of(st.none(), st.floats(0.1, 20.0)))
def test_a_larger_leak_moves_the_air_further_from_clean(room_m3, leak, more, changes):
    place = area([], room_m3=room_m3, changes_per_h=changes)
    for gas, sign in ((Gas.OXYGEN, 1.0), (Gas.NITROUS_OXIDE, -1.0)):
        small, large = (store_leaks(place, gas, one) for one in (leak, leak + more))
        assert sign * (large.value - small.value) >= -1e-9
        assert gravity(large) >= gravity(small)
        assert 0.0 <= small.low <= small.value <= small.high <= 100.0


@few
@given(rooms, leaks, st.floats(0.1, 20.0), st.floats(0.1, 20.0))
def test_more_air_changes_bring_it_back_to_clean(room_m3, leak, changes, more):
    calm, windy = (
        store_leaks(area([], room_m3=room_m3, changes_per_h=one), Gas.OXYGEN, leak)
        for one in (changes, changes + more)
    )

    assert windy.value < calm.value
    assert gravity(windy) <= gravity(calm)


# A steady balance on paper: clean air Q and leak L come in, Q + L of the mixed air goes out.
@few
@given(rooms, leaks, st.floats(0.1, 20.0))
def test_a_ventilated_room_holds_what_comes_in(room_m3, leak, changes):
    place = area([], room_m3=room_m3, changes_per_h=changes)
    clean = 1000.0 * room_m3 * changes / 60.0
    rich, poor = ((0.2095 * clean + one * leak) / (clean + leak) for one in (1.0, 0.0))

    assert store_leaks(place, Gas.OXYGEN, leak).value == pytest.approx(100 * rich, abs=0.06)
    assert store_leaks(place, Gas.NITROUS_OXIDE, leak).value == pytest.approx(100 * poor, abs=0.06)


# University pages on releases of gas: enriched above 23.5 % of oxygen, deficient below 19.5 %.
@pytest.mark.published("supply_S63")
@few
@given(rooms, leaks, st.floats(0.1, 20.0), st.sampled_from([Gas.OXYGEN, Gas.NITROUS_OXIDE]))
def test_air_is_fine_between_the_two_printed_limits_alone(room_m3, leak, changes, gas):
    answer = store_leaks(area([], room_m3=room_m3, changes_per_h=changes), gas, leak)

    assert (answer.verdict is Verdict.FINE) == (19.5 <= answer.value <= 23.5)


@few
@given(rooms, leaks)
def test_air_that_leaks_stays_air(room_m3, leak):
    answer = store_leaks(area([], room_m3=room_m3), Gas.AIR, leak)

    assert answer.value == AIR
    assert answer.verdict is Verdict.FINE


@few
@given(rooms, st.floats(1.0, 8_000.0))
def test_a_whole_cylinder_in_a_larger_room_moves_its_air_less(room_m3, litres):
    assume(litres < 500.0 * room_m3)
    one = Stored(gas=Gas.OXYGEN, contents_l=litres)
    small, large = (store_air(area([], room_m3=size), one) for size in (room_m3, 2 * room_m3))

    assert large.value <= small.value + 1e-9
    assert gravity(large) <= gravity(small)


@few
@given(st.floats(1.0, 50.0), st.floats(1.1, 4.0))
def test_a_larger_cylinder_holds_as_much_more(water_l, times):
    for gas, gauge in ((Gas.OXYGEN, 13_700.0), (Gas.NITROUS_OXIDE, None)):
        small, large = (
            full_contents_l(
                Cylinder(gas=gas, water_capacity_l=size, fill_gauge_kpa=gauge), None, Place()
            )
            for size in (water_l, water_l * times)
        )
        assert large / small == pytest.approx(times)


@given(st.floats(100.0, 9_000.0))
def test_a_label_goes_before_what_is_worked_out(litres):
    full = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7, fill_gauge_kpa=13_700.0)
    by_label = full_contents_l(full, litres, Place())

    assert by_label != full_contents_l(full, None, Place())
    assert full_contents_l(full, 2 * litres, Place()) == pytest.approx(2 * by_label)

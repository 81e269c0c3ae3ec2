from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.supply.cylinders_read import (
    BELIEFS,
    GAUGE,
    PLAIN,
    PSI,
    ROOM_K,
    RULE,
    WATER_L,
    book,
    case,
    draw,
    held_l,
    night,
    reading,
    told,
)
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import Gas
from ullage.core.supply.estimate import (
    LeakRule,
    estimate,
    expected_readings,
    reserve_outlook,
    untold_pauses,
)
from ullage.core.supply.history import Draw, Sighting


def test_the_same_readings_have_the_same_answer():
    one, two = told(night(leak_l_min=0.1)), told(night(leak_l_min=0.1))

    assert one.contents_l == two.contents_l
    assert one.leak_l_min == two.leak_l_min
    assert np.array_equal(one.worlds.contents_l, two.worlds.contents_l)


def test_one_reading_says_what_the_gauge_says_within_its_class():
    found = told(book([reading(0.0, held_l(1900))]), PLAIN)
    on_paper = [held_l(1900 - 0.9 * 75), held_l(1900), held_l(1900 + 0.9 * 75)]

    assert found.contents_l.middle == pytest.approx(on_paper[1], abs=2.0)
    # The limit is uniform, so 90 % of it; rounding and 1 K of warmth widen that a little.
    assert on_paper[0] - 5.0 < found.contents_l.low < on_paper[0]
    assert on_paper[2] < found.contents_l.high < on_paper[2] + 5.0


def test_a_leak_left_open_overnight_is_reported_near_its_size():
    found = told(night(leak_l_min=0.1))

    assert found.reported
    assert found.leak_l_min.low < 0.1 < found.leak_l_min.high
    assert found.leak_l_min.low > 0.05


def test_a_tight_cylinder_is_not_accused():
    found = told(night(leak_l_min=0.0))

    assert not found.reported
    assert found.leak_chance < 0.05


def test_a_leak_cannot_run_through_a_valve_that_was_closed():
    open_, closed = (
        told(night(leak_l_min=0.1, is_open=said)).leak_chance for said in (True, False)
    )

    assert open_ > 0.9
    assert closed < 0.5


def test_a_valve_nobody_spoke_of_is_considered_both_ways():
    unknown = told(night(leak_l_min=0.05, is_open=None))
    known = told(night(leak_l_min=0.05, is_open=True))

    assert untold_pauses(unknown.history) == ((120.0, 960.0),)
    assert untold_pauses(known.history) == ()
    assert 0.0 < unknown.leak_chance < known.leak_chance


def test_a_short_pause_is_not_asked_about():
    seen = [reading(0.0, 600.0), reading(45.0, 600.0, is_open=None)]

    assert untold_pauses(book(seen)) == ()


def test_a_small_leak_and_a_wrong_flowmeter_cannot_be_told_apart_in_three_hours():
    leaking, wrong = told(case(leak_l_min=0.1)), told(case(scale=1.1))

    for found in (leaking, wrong):
        assert not found.reported
        assert found.may_hide_l_min > 0.1
        assert found.trade_off < -0.4
    assert leaking.leak_chance == pytest.approx(wrong.leak_chance, abs=0.05)


def test_a_pause_with_all_flows_off_tells_them_apart():
    start = held_l(1900)

    def after_pause(leak: float, scale: float) -> list[Sighting]:
        marks = [30.0 * i for i in range(7)]
        seen = [reading(at, start - (scale + leak) * at) for at in marks]
        return [*seen, reading(1080.0, start - 180.0 * scale - 1080.0 * leak)]

    leaking = told(book(after_pause(0.1, 1.0), (draw(0.0, 180.0),)))
    wrong = told(book(after_pause(0.0, 1.1), (draw(0.0, 180.0),)))

    assert leaking.reported
    assert not wrong.reported
    assert wrong.may_hide_l_min < 0.06


def test_a_large_leak_shows_within_a_case():
    assert told(case(leak_l_min=0.6)).reported
    assert not told(case()).reported


def test_the_band_of_a_leak_is_one_sided_where_there_may_be_none():
    found = told(case())

    assert (found.leak_l_min.low, found.leak_l_min.middle) == (0.0, 0.0)
    assert found.leak_l_min.high > 0.0


def test_a_wrong_flowmeter_is_found_over_a_long_use():
    start = held_l(1900)
    seen = [reading(at, start - 0.8 * 0.5 * at) for at in np.arange(0.0, 721.0, 60.0)]
    scale = told(book(seen, (draw(0.0, 720.0, 0.5),))).flow_scale

    assert scale.low < 0.8 < scale.high
    assert scale.high < 0.9


def test_without_any_flow_the_scale_is_not_moved():
    found = told(book([reading(0.0, 600.0), reading(600.0, 600.0)]))

    assert (found.flow_scale.low, found.flow_scale.high) == (1.0, 1.0)


@settings(max_examples=15, deadline=None)
@given(st.floats(-1e6, 1e6), st.floats(0.0, 0.2))
def test_the_clock_may_start_anywhere(shift, leak):
    plain = night(leak_l_min=leak)
    moved = replace(
        plain,
        sightings=tuple(replace(one, at_min=one.at_min + shift) for one in plain.sightings),
        draws=tuple(
            replace(one, start_min=one.start_min + shift, end_min=one.end_min + shift)
            for one in plain.draws
        ),
        now_min=plain.now_min + shift,
    )

    assert told(moved).contents_l.middle == pytest.approx(told(plain).contents_l.middle, rel=1e-6)
    assert told(moved).leak_chance == pytest.approx(told(plain).leak_chance, abs=1e-6)


@settings(max_examples=10, deadline=None)
@given(st.floats(2.0, 12.0))
def test_a_cylinder_some_times_as_large_holds_as_many_times_more(times):
    small = case()
    large = replace(
        small,
        water_capacity_l=times * WATER_L,
        draws=tuple(replace(one, flow_l_min=times * one.flow_l_min) for one in small.draws),
    )
    beliefs = replace(PLAIN, leak_share=1e-9)

    assert told(large, beliefs).contents_l.middle == pytest.approx(
        times * told(small, beliefs).contents_l.middle, rel=1e-3
    )
    assert told(large, beliefs).flow_scale.middle == pytest.approx(
        told(small, beliefs).flow_scale.middle, abs=1e-3
    )


def test_a_meter_less_well_known_leaves_more_room_for_a_leak():
    sure, unsure = case(), case()
    unsure = replace(unsure, draws=(replace(unsure.draws[0], error_share=0.25),))

    assert told(unsure).may_hide_l_min > told(sure).may_hide_l_min


def test_a_limit_on_the_flow_is_never_passed():
    history = case(scale=1.6)
    history = replace(history, draws=(replace(history.draws[0], error_share=0.5 / 3**0.5),))
    found = told(history, replace(PLAIN, flow_error_is_limit=True, leak_share=0.01))

    assert found.flow_scale.high <= 1.5 + 1e-9
    assert found.worlds.flow_scale.max() <= 1.5 + 1e-9


def test_a_gauge_is_never_further_off_than_its_limit():
    found = told(book([reading(0.0, held_l(1000))]), PLAIN)
    rounding = 4.5 * 25.0

    assert found.worlds.contents_l.min() > held_l(1000 - 75 - rounding) - 15.0
    assert found.worlds.contents_l.max() < held_l(1000 + 75 + rounding) + 15.0


def test_a_weight_says_what_is_left_where_no_gauge_can():
    scale = replace(GAUGE, scale_limit_l=50.0, scale_step_l=25.0)
    seen = [
        Sighting(at_min=0.0, temperature_k=ROOM_K, weighed_l=1500.0),
        Sighting(at_min=600.0, temperature_k=ROOM_K, weighed_l=1200.0, is_open=True),
    ]
    flows = (Draw(start_min=0.0, end_min=600.0, flow_l_min=0.5, error_share=0.1),)
    history = replace(book(seen, flows), gas=Gas.NITROUS_OXIDE, instrument=scale)
    found = told(history)

    assert found.contents_l.middle == pytest.approx(1200.0, abs=15.0)
    assert expected_readings(found, (700.0,), nothing_wrong=True) == ()
    assert found.step_l == 25.0


def test_what_is_foretold_is_what_is_read_when_nothing_is_wrong():
    history = case(hours=4)
    before = told(history.without_last())
    (expected,) = expected_readings(before, (history.now_min,), nothing_wrong=True)
    read = history.sightings[-1].gauge_kpa

    assert expected.low_kpa < read < expected.high_kpa
    # Two readings of 50 psi steps: not much better than a step, and not much worse than two.
    assert 25 * PSI < expected.sd_kpa * 1.645 < 100 * PSI


def test_a_leak_that_is_known_is_foretold_too():
    history = night(leak_l_min=0.1)
    later = history.now_min + 300.0
    (expected,) = expected_readings(told(history), (later,), nothing_wrong=False)
    truth = reading(later, held_l(1900) - 120.0 * 1.1 - 0.1 * (later - 120.0))

    assert expected.low_kpa < truth.gauge_kpa < expected.high_kpa
    assert expected.middle_kpa < history.sightings[-1].gauge_kpa - 50 * PSI


def test_no_time_asked_means_no_reading_foretold():
    assert expected_readings(told(case()), (), nothing_wrong=True) == ()


def test_the_reserve_is_reached_when_what_is_left_has_been_drawn():
    found = told(case(), replace(PLAIN, leak_share=1e-9))
    ahead = (draw(180.0, 5000.0),)
    outlook = reserve_outlook(found, ahead, 100.0)
    on_paper = (found.contents_l.middle - 100.0) / found.flow_scale.middle

    assert outlook.middle_min == pytest.approx(on_paper, rel=0.01)
    assert outlook.low_min < outlook.middle_min < outlook.high_min
    assert outlook.chance == pytest.approx(1.0)


def test_a_pause_ahead_puts_the_reserve_off_by_its_length():
    found = told(case(), replace(PLAIN, leak_share=1e-9))
    straight = reserve_outlook(found, (draw(180.0, 9000.0),), 100.0)
    paused = reserve_outlook(found, (draw(180.0, 240.0), draw(300.0, 9000.0)), 100.0)

    assert paused.middle_min == pytest.approx(straight.middle_min + 60.0, abs=0.5)


def test_a_plan_that_ends_sooner_does_not_reach_the_reserve():
    outlook = reserve_outlook(told(case()), (draw(180.0, 240.0),), 100.0)

    assert (outlook.low_min, outlook.middle_min, outlook.high_min) == (None, None, None)
    assert outlook.until_min == 60.0
    assert outlook.chance < 0.05


def test_what_is_already_below_the_reserve_is_reached_now():
    outlook = reserve_outlook(told(case()), (draw(180.0, 240.0),), 2000.0)

    assert outlook.high_min == 0.0


def test_a_small_leak_needs_a_longer_pause_than_a_large_one():
    found = told(case())

    assert found.closed_flow_min(0.05) == pytest.approx(2 * found.closed_flow_min(0.1))
    # Three steps of 50 psi at 0.355 L/psi, over 0.1 L/min.
    assert found.closed_flow_min(0.1) == pytest.approx(3 * 50 * 0.355 / 0.1, rel=0.03)
    with pytest.raises(InvalidQuantity, match=r"leak_l_min is 0; it must be a number above 0"):
        found.closed_flow_min(0.0)


def test_a_late_leak_is_found_though_the_days_before_were_tight():
    start = held_l(1900)
    seen = [reading(1440.0 * day, start) for day in range(5)]
    seen += [reading(1440.0 * 5, start - 100.0), reading(1440.0 * 6, start - 200.0)]

    assert told(book(seen)).reported


def test_one_reading_misread_does_not_make_a_leak():
    start = held_l(1900)
    seen = [reading(300.0 * i, start) for i in range(8)]
    seen[4] = replace(seen[4], gauge_kpa=900 * PSI)

    assert told(book(seen)).leak_chance < 0.1


def test_many_readings_are_taken_as_well_as_a_few():
    start = held_l(1900)
    seen = [reading(120.0 * i, start - 0.01 * 120 * i) for i in range(300)]
    found = told(book(seen))

    assert found.contents_l.middle == pytest.approx(start - 0.01 * 120 * 299, abs=30.0)


def test_a_leak_is_reported_from_the_chance_that_the_rule_names():
    history = night(leak_l_min=0.05, is_open=None)
    chance = told(history).leak_chance

    for bar, said in ((chance - 0.01, True), (chance + 0.01, False)):
        assert estimate(history, BELIEFS, LeakRule(above_l_min=0.02, chance=bar)).reported is said
    assert RULE.chance == 0.5


@pytest.mark.parametrize("chance", [-0.1, 1.1, float("nan")])
def test_a_rule_with_an_impossible_chance_is_refused(chance):
    with pytest.raises(InvalidQuantity, match=r"chance is .* must be between 0 and 1"):
        LeakRule(above_l_min=0.02, chance=chance)

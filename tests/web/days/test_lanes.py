"""The day of a machine as shares of a clock; the expected shares were worked out on paper."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.web.days.lanes import Block, Clock, block_at, clock_for, clock_words, lane, wall_min

pytestmark = pytest.mark.web

DAY = Clock(first_h=7, last_h=18, now_min=571.0)
minutes = st.floats(min_value=-2000.0, max_value=4000.0)


def test_a_working_day_is_shown_when_nothing_is_planned():
    clock = clock_for([])

    assert (clock.first_h, clock.last_h) == (7, 18)


def test_an_early_and_a_late_case_widen_the_clock():
    clock = clock_for([(6 * 60 + 30, 8 * 60), (17 * 60, 20 * 60 + 10)])

    assert (clock.first_h, clock.last_h) == (6, 21)


def test_half_past_ten_is_31_82_percent_of_seven_to_six():
    # 3.5 hours of 11: 31.818 %.
    assert DAY.x(630.0) == 31.82


def test_a_case_of_110_minutes_is_16_67_percent_wide():
    left, width, done = block_at(DAY, (630.0, 740.0), None)

    assert (left, done) == (31.82, 0.0)
    assert width == pytest.approx(100 * 110 / 660, abs=0.02)


def test_a_running_case_is_filled_up_to_now():
    # 08:20 to 10:55, now 09:31: 71 of 155 minutes.
    left, width, done = block_at(DAY, (500.0, 655.0), 571.0)
    block = Block(name="x", small="", look="run", x=left, width=width, done_width=done)

    assert block.done_percent == pytest.approx(100 * 71 / 155, abs=0.1)


def test_now_hides_the_hours_it_would_cover():
    assert [one.words for one in DAY.hours][:3] == ["07", "08", "11"]


def test_now_is_not_drawn_on_another_hour_than_those_shown():
    assert Clock(first_h=7, last_h=18, now_min=100.0).now_x is None
    assert Clock(first_h=7, last_h=18).now_x is None


def test_the_change_over_band_keeps_its_ends_and_its_likeliest_minute():
    found = lane(DAY, [], change=(829.0, 847.0, 864.0), note="fit a full one before Sorrel")

    assert found.band is not None
    assert found.band.x == DAY.x(829.0)
    assert found.band.at == DAY.x(847.0)
    assert found.band.width == pytest.approx(DAY.x(864.0) - DAY.x(829.0))
    assert found.note_ends


def test_a_change_over_after_the_day_is_not_drawn():
    assert lane(DAY, [], change=(2000.0, 2100.0, 2200.0)).band is None


def test_minutes_follow_the_clock_on_the_wall_through_a_change_of_time():
    london = ZoneInfo("Europe/London")
    spring = date(2026, 3, 29)  # clocks go forward at 01:00

    assert wall_min(datetime(2026, 3, 29, 9, 30, tzinfo=london), spring) == 570.0
    assert wall_min(datetime(2026, 3, 30, 0, 30, tzinfo=london), spring) == 1470.0


def test_words_of_a_minute_start_again_after_midnight():
    assert clock_words(847.4) == "14:07"
    assert clock_words(1500.0) == "01:00"


@given(minutes, minutes)
def test_the_clock_never_leaves_its_lane_and_never_turns_back(one, other):
    early, late = sorted((one, other))

    assert 0.0 <= DAY.x(early) <= DAY.x(late) <= 100.0


@given(st.lists(st.tuples(minutes, st.floats(min_value=1.0, max_value=600.0)), max_size=8))
def test_every_case_of_a_day_finds_its_hours(cases):
    spans = [(start, start + long) for start, long in cases if 0 <= start < 1440]
    clock = clock_for(spans)

    for start, end in spans:
        assert 60 * clock.first_h <= start
        assert end <= 60 * clock.last_h

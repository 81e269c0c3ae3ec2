"""Numbers and times in words: what a tired reader sees is what was meant."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers.words import CLOCK, clock_span, clock_text, figure, minutes_text, number, span

THIN = "\u202f"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (0.00005, "5.0e-05"),
        (0.0534, "0.0534"),
        (0.5, "0.5"),
        (1.0, "1"),
        (1.725, "1.73"),
        (9.996, "10"),
        (10.04, "10"),
        (10.06, "10.1"),
        (99.94, "99.9"),
        (99.97, "100"),
        (343.2, "343"),
        (999.4, "999"),
        (999.6, f"1{THIN}000"),
        (1000.0, f"1{THIN}000"),
        (1234567.0, f"1{THIN}234{THIN}567"),
        (-343.2, "-343"),
        (-1000.0, f"-1{THIN}000"),
    ],
)
def test_a_figure_shows_three_places_and_no_more_than_it_can_bear(value, shown):
    assert figure(value) == shown


@settings(max_examples=40, deadline=None)
@given(st.floats(min_value=1e-4, max_value=1e7))
def test_a_figure_is_never_off_by_more_than_half_a_percent(value):
    shown = float(figure(value).replace(THIN, ""))

    assert shown == pytest.approx(value, rel=0.0051)


@settings(max_examples=40, deadline=None)
@given(st.floats(min_value=1e-4, max_value=1e7), st.floats(min_value=1e-4, max_value=1e7))
def test_figures_keep_their_order(one, other):
    less, more = sorted((one, other))

    assert float(figure(less).replace(THIN, "")) <= float(figure(more).replace(THIN, ""))


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0.0, "0 min"),
        (0.25, "0.25 min"),
        (9.4, "9.4 min"),
        (10.4, "10 min"),
        (59.4, "59 min"),
        (59.6, "1 h 00 min"),
        (60.0, "1 h 00 min"),
        (61.0, "1 h 01 min"),
        (161.0, "2 h 41 min"),
        (2879.0, "47 h 59 min"),
        (2880.0, "2 days"),
        (20160.0, "14 days"),
    ],
)
def test_minutes_are_said_as_a_person_says_them(minutes, said):
    assert minutes_text(minutes) == said


@settings(max_examples=40, deadline=None)
@given(st.floats(min_value=60, max_value=2879))
def test_hours_and_minutes_come_back_to_the_minutes(minutes):
    hours, rest = map(int, re.fullmatch(r"(\d+) h (\d\d) min", minutes_text(minutes)).groups())

    assert rest < 60
    assert 60 * hours + rest == pytest.approx(minutes, abs=0.5)


@pytest.mark.parametrize(
    ("minutes", "clock"),
    [
        (0.0, "00:00"),
        (0.4, "00:00"),
        (700.4, "11:40"),
        (700.6, "11:41"),
        (1439.4, "23:59"),
        (1439.6, "00:00 next day"),
        (1440.0, "00:00 next day"),
        (2880.0, "00:00 2 days on"),
        (-1.0, "23:59 the day before"),
        (-1440.0, "00:00 the day before"),
        (-1441.0, "23:59 2 days before"),
    ],
)
def test_a_time_of_day_names_another_day(minutes, clock):
    assert clock_text(minutes) == clock


@settings(max_examples=40, deadline=None)
@given(st.integers(min_value=0, max_value=1439))
def test_a_clock_time_comes_back_to_its_minutes(minutes):
    hours, rest = map(int, clock_text(float(minutes)).split(":"))

    assert 60 * hours + rest == minutes


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (343.2, "L", "343 L"),
        (161.0, "min", "2 h 41 min"),
        (700.0, CLOCK, "11:40"),
        (0.43, "1", "0.43"),
        (0.43, "", "0.43"),
        (2000.0, "psi", f"2{THIN}000 psi"),
    ],
)
def test_a_number_carries_its_unit(value, unit, said):
    assert number(value, unit) == said


@pytest.mark.parametrize(
    ("low", "high", "unit", "said"),
    [
        (313.0, 372.0, "L", "313 to 372 L"),
        (144.0, 178.0, "min", "2 h 24 min to 2 h 58 min"),
        (685.0, 720.0, CLOCK, "11:25 to 12:00"),
        (685.1, 685.4, CLOCK, "11:25"),
        (0.1, 0.5, "1", "0.1 to 0.5"),
    ],
)
def test_a_range_names_its_unit_at_the_end(low, high, unit, said):
    assert span(low, high, unit) == said


def test_two_clock_times_that_are_the_same_are_said_once():
    assert clock_span("11:25", "11:25") == "11:25"
    assert clock_span("11:25", "11:26") == "11:25 to 11:26"

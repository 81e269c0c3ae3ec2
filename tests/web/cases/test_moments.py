"""What a time on the clock means: the last one that has come, also on nights with two clocks."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from ullage.web.cases.forms.moments import ClockField, moment_of
from ullage.web.sites.models import Site

LONDON = Site(name="Fennel Lane", time_zone="Europe/London")
#: In 2026 the clocks of London go from 01:00 to 02:00 on 29 March, back to 01:00 on 25 October.
SPRING, AUTUMN = (2026, 3, 29), (2026, 10, 25)


def utc(day, hour, minute=0):
    return datetime(*day, hour, minute, tzinfo=UTC)


def meant(typed, now, site=LONDON):
    return moment_of(time.fromisoformat(typed), site, now).astimezone(UTC)


def test_nothing_typed_is_now():
    now = utc((2026, 6, 8), 9)

    assert moment_of(None, LONDON, now) == now


def test_it_is_the_clock_of_the_site_and_not_of_the_server():
    # London is an hour ahead of UTC in June
    assert meant("09:30", utc((2026, 6, 8), 9)) == utc((2026, 6, 8), 8, 30)


def test_late_in_the_evening_is_yesterday_after_midnight():
    assert meant("23:50", utc((2026, 1, 12), 0, 10)) == utc((2026, 1, 11), 23, 50)


def test_a_clock_that_runs_a_little_ahead_means_now():
    now = utc((2026, 1, 12), 12)

    assert meant("12:02", now) == now


@pytest.mark.parametrize("typed", ["12:03", "15:00", "23:59"])
def test_what_has_not_come_yet_is_refused(typed):
    with pytest.raises(ValidationError, match=f"{typed} has not come yet"):
        meant(typed, utc((2026, 1, 12), 12))


def test_half_a_day_ahead_is_taken_as_yesterday():
    assert meant("13:00", utc((2026, 1, 12), 1)) == utc((2026, 1, 11), 13)


def test_in_the_hour_that_comes_twice_the_last_one_that_came_is_meant():
    first, second = utc(AUTUMN, 0, 30), utc(AUTUMN, 1, 30)

    assert meant("01:30", utc(AUTUMN, 0, 45)) == first
    assert meant("01:30", utc(AUTUMN, 1, 20)) == first
    assert meant("01:30", utc(AUTUMN, 1, 45)) == second
    assert meant("01:30", utc(AUTUMN, 5)) == second


def test_a_time_that_the_clock_left_out_is_asked_about_and_not_guessed():
    with pytest.raises(ValidationError, match="The clock left out 01:30 on 2026-03-29; write"):
        meant("01:30", utc(SPRING, 1, 10))
    assert meant("00:59", utc(SPRING, 1, 10)) == utc(SPRING, 0, 59)
    assert meant("02:05", utc(SPRING, 1, 10)) == utc(SPRING, 1, 5)


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("Europe/London", AUTUMN),
        ("Europe/London", SPRING),
        ("Australia/Lord_Howe", (2026, 4, 5)),  # goes back by half an hour
        ("Asia/Kathmandu", (2026, 6, 8)),  # 5 h 45 min ahead
        ("UTC", (2026, 12, 31)),
    ],
)
def test_the_night_through_a_time_of_the_last_minutes_is_those_minutes(zone, day):
    site, begins = Site(name="Any", time_zone=zone), utc(day, 0) - timedelta(hours=12)
    for quarter in range(4 * 36):
        now = begins + timedelta(minutes=15 * quarter)
        typed = (now - timedelta(minutes=5)).astimezone(ZoneInfo(zone)).strftime("%H:%M")
        assert meant(typed, now, site) == now - timedelta(minutes=5), now


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31)),  # noqa: DTZ001  # the zone follows
    st.times(),
    st.sampled_from(["Europe/London", "America/St_Johns", "Pacific/Auckland", "UTC"]),
)
def test_no_moment_lies_ahead_and_none_more_than_a_day_back(naive, typed, zone):
    now = naive.replace(tzinfo=UTC)
    try:
        found = moment_of(typed, Site(name="Any", time_zone=zone), now)
    except ValidationError:
        return
    # a day that is an hour longer holds an hour more
    assert timedelta(0) <= now - found <= timedelta(hours=25)


@pytest.mark.parametrize("typed", ["25:00", "noon", "9.30", "12:60", "\x00", "१२:३०x", "-1:00"])
def test_what_is_no_time_gets_a_sentence(typed):
    with pytest.raises(ValidationError, match=r"\.") as refused:
        ClockField().clean(typed)
    assert refused.value.messages[0].endswith(".")


def test_an_empty_clock_is_let_by():
    assert ClockField().clean("") is None

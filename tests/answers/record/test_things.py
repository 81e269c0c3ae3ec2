"""Lines of a record: times by two clocks, numbers as typed, and what stands after corrections."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN, entry, opened, times
from tests.answers.record.taken import amendment
from ullage.answers.record.things import Times, entries_now
from ullage.core.errors import InvalidQuantity, PlanUnreadable


def at(seconds=0.0):
    return BEGAN + timedelta(seconds=seconds)


def told(written_s=0.0, received_s=0.0, offset_s=None):
    return Times(observed=BEGAN, written=at(written_s), received=at(received_s), offset_s=offset_s)


@pytest.mark.parametrize(
    ("written_s", "offset_s", "late_min"),
    [
        (0, None, 0.0),
        (360, None, 6.0),
        # the device runs two minutes ahead: four of the six were late
        (360, 120.0, 4.0),
        (360, -120.0, 8.0),
        (-60, None, -1.0),
        (0.5, 0.5, 0.0),
    ],
)
def test_lateness_is_by_one_clock(written_s, offset_s, late_min):
    assert told(written_s, offset_s=offset_s).late_by_min == pytest.approx(late_min)


@pytest.mark.parametrize(
    ("written_s", "received_s", "offset_s", "waited_min"),
    [(0, 90, None, 1.5), (120, 90, 120.0, 1.5), (0, 90, -30.0, 1.0), (0, 3 * 86400, None, 4320.0)],
)
def test_waiting_is_from_writing_to_the_server_by_one_clock(
    written_s, received_s, offset_s, waited_min
):
    found = told(written_s, received_s, offset_s)

    assert found.waited_min == pytest.approx(waited_min)


@given(st.floats(-1e5, 1e5), st.floats(0, 1e5), st.none() | st.floats(-1e4, 1e4, allow_nan=False))
def test_lateness_and_waiting_are_the_way_from_seeing_to_the_server(written, received, offset):
    found = told(written, received, offset)
    whole_min = (found.received - found.observed).total_seconds() / 60.0

    assert found.late_by_min + found.waited_min == pytest.approx(whole_min, abs=1e-6)


def test_a_night_with_two_clocks_makes_nothing_late():
    # London, 25 October 2026: 01:59:30 is followed by 01:00:00
    zone = ZoneInfo("Europe/London")
    seen = datetime(2026, 10, 25, 0, 59, 30, tzinfo=UTC).astimezone(zone)
    written = datetime(2026, 10, 25, 1, 0, 30, tzinfo=UTC).astimezone(zone)
    found = Times(observed=seen.astimezone(UTC), written=written.astimezone(UTC), received=written)

    assert (f"{seen:%H:%M}", f"{written:%H:%M}") == ("01:59", "01:00")
    assert found.late_by_min == pytest.approx(1.0)


@pytest.mark.parametrize("name", ["observed", "written", "received"])
def test_a_time_without_a_zone_is_no_time_of_a_record(name):
    with pytest.raises(PlanUnreadable, match=r"^Every time of a line needs its zone\.$"):
        replace(told(), **{name: BEGAN.replace(tzinfo=None)})


@pytest.mark.parametrize("offset_s", [float("nan"), float("inf"), -float("inf"), 1e12])
def test_an_offset_that_no_clock_has_is_refused(offset_s):
    with pytest.raises(InvalidQuantity, match="offset_s"):
        told(offset_s=offset_s)


@pytest.mark.parametrize(
    ("number", "value"),
    [
        ("120", 120.0), ("120.0", 120.0), ("-0.5", -0.5), ("+3", 3.0), ("007", 7.0), ("", None),
        ("0.000", 0.0), ("9" * 40, 1e40),
    ],
)  # fmt: skip
def test_a_number_stays_as_typed_beside_what_it_is_worth(number, value):
    found = entry(2, number=number, unit="/min")

    assert found.number == number
    assert found.value == (None if value is None else pytest.approx(value))


@pytest.mark.parametrize(
    "number",
    ["1,5", "1e3", "nan", "inf", "--1", ".5", "5.", " 5", "5 ", "1_000", "٣", "5\n", "9" * 41],
)
def test_what_is_no_plain_number_is_none_of_a_reading(number):
    with pytest.raises(PlanUnreadable, match="is no number of a reading"):
        entry(2, number=number)
    with pytest.raises(PlanUnreadable, match="is no number of a reading"):
        amendment(3, entry(2), number=number)


def test_a_corrected_time_needs_its_zone_too():
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        amendment(3, entry(2), observed=BEGAN.replace(tzinfo=None))


READ = entry(2, number="210", unit="/min")


def now(*lines):
    return entries_now((opened(), *lines))


def test_a_correction_of_the_time_leaves_the_number_and_one_of_the_number_the_time():
    moved = now(READ, amendment(3, READ, observed=at(-60)))[0]
    said = now(READ, amendment(3, READ, typed="201", number="201", unit="/min"))[0]

    assert (moved.number, moved.times.observed) == ("210", at(-60))
    assert (said.number, said.times.observed) == ("201", READ.times.observed)
    assert moved.times.written == READ.times.written


def test_a_correction_of_one_detail_leaves_the_others():
    given_ = entry(2, "ketamine", "", details={"dose": "10 mg/kg", "lot": "A7"})
    found = now(given_, amendment(3, given_, details={"lot": "A8"}))[0]

    assert found.details == {"dose": "10 mg/kg", "lot": "A8"}


def test_what_was_withdrawn_does_not_come_back_by_a_later_correction():
    lines = (
        READ,
        amendment(3, READ, withdrawn=True),
        amendment(4, READ, typed="201", number="201", unit="/min"),
    )

    assert now(*lines) == ()


def test_a_correction_that_comes_before_its_entry_changes_nothing():
    early = amendment(2, READ, typed="201", number="201", unit="/min")

    assert [one.number for one in now(early, replace(READ, order=3))] == ["210"]


def test_entries_stand_by_the_time_at_which_they_were_seen_in_whatever_zone():
    west = timezone(timedelta(hours=-5))
    first = entry(3, typed="a", times=times(1.0))
    seen = replace(times(2.0), observed=times(2.0).observed.astimezone(west))
    second = entry(2, typed="b", times=seen)

    assert [one.typed for one in now(second, first)] == ["a", "b"]


def test_two_entries_under_one_id_both_stand_and_the_first_is_corrected():
    twin = replace(READ, order=3, typed="90", number="90")
    said = amendment(4, READ, typed="201", number="201", unit="/min")

    assert sorted(one.number for one in now(READ, twin, said)) == ["201", "90"]

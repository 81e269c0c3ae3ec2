"""The fixed text: one way to write a line, and lines that come back as they were."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN, case_lines, entry, opened, times
from ullage.answers.record.fixed import fixed_text, read_fixed, read_utc, utc_text
from ullage.answers.record.things import Times, entries_now
from ullage.answers.record.written import content_of, line_of_content, line_of_text
from ullage.core.errors import InvalidQuantity, PlanUnreadable

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**52), 2**52) | st.text(max_size=20),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text(max_size=8), below),
    max_leaves=8,
)


@given(st.dictionaries(st.text(max_size=8), VALUES, max_size=4))
def test_what_is_written_is_read_back_and_written_alike(content):
    text = fixed_text(content)

    assert read_fixed(text) == content
    assert fixed_text(read_fixed(text)) == text


@given(st.dictionaries(st.text(max_size=8), st.text(max_size=8), min_size=2, max_size=5))
def test_the_order_in_which_parts_were_given_does_not_show(content):
    assert fixed_text(content) == fixed_text(dict(reversed(content.items())))


def test_digits_stay_as_they_were_typed():
    line = entry(2, typed="38.10 °C", number="38.10", unit="Cel")

    assert '"number":"38.10"' in fixed_text(content_of(line))
    assert line_of_content(content_of(line)).number == "38.10"


@pytest.mark.parametrize("number", [37.5, float("nan"), float("inf"), 1e300])
def test_a_number_with_a_fraction_has_no_place(number):
    with pytest.raises(PlanUnreadable, match="kept as typed, as text"):
        fixed_text({"number": number})


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ({"text": "\ud800"}, "half a character"),
        ({1: "one"}, "names are text"),
        ({"count": 2**53}, "too large"),
        ({"when": BEGAN}, "kept as typed"),
        ({"bytes": b"x"}, "kept as typed"),
    ],
)
def test_what_cannot_be_kept_is_refused_in_a_sentence(content, why):
    with pytest.raises(PlanUnreadable, match=why):
        fixed_text(content)


def test_content_without_end_is_refused():
    deep = {}
    for _ in range(50):
        deep = {"below": deep}

    with pytest.raises(PlanUnreadable, match="nested too deeply"):
        fixed_text(deep)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        "{",
        '{"a": 1}',
        '{"b":1,"a":2}',
        '{"a":1,"a":2}',
        '{"a":1.0}',
        '{"a":1e0}',
        '{"a":NaN}',
        '{"a":"\\u00e9"}',
        '{"a":"\\/"}',
        '{"a":1}\n',
        '{"a":' + "[" * 100_000 + "]" * 100_000 + "}",
        '{"a":' + "9" * 5000 + "}",
    ],
)
def test_any_other_way_of_writing_is_refused(text):
    with pytest.raises(PlanUnreadable, match=r"fixed form|not JSON|twice|no number|kept as|deep"):
        read_fixed(text)


@given(
    st.datetimes(min_value=datetime(1, 1, 2), max_value=datetime(9999, 12, 30)),  # noqa: DTZ001  # the zone is drawn beside it
    st.integers(-720, 720),
)
def test_a_time_is_kept_in_utc_to_the_microsecond(naive, shift):
    at = naive.replace(tzinfo=timezone(timedelta(minutes=shift)))

    assert read_utc(utc_text(at)) == at
    assert len(utc_text(at)) == 27


@pytest.mark.parametrize(
    "text",
    ["2026-06-08T09:00:00Z", "2026-06-08T09:00:00.000000+00:00", "2026-6-08T09:00:00.000000Z", ""],
)
def test_a_time_is_written_in_one_way_only(text):
    with pytest.raises(PlanUnreadable, match="not a time of the record"):
        read_utc(text)


@pytest.mark.parametrize(
    "at",
    [
        datetime.max.replace(tzinfo=timezone(timedelta(hours=-1))),
        datetime.min.replace(tzinfo=timezone(timedelta(hours=1))),
    ],
)
def test_a_time_outside_the_calendar_is_refused(at):
    with pytest.raises(PlanUnreadable, match="outside the calendar"):
        utc_text(at)
    with pytest.raises(PlanUnreadable, match="outside the calendar"):
        read_utc(at.isoformat(timespec="microseconds"))


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        utc_text(BEGAN.replace(tzinfo=None))
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        Times(observed=BEGAN, written=BEGAN.replace(tzinfo=None), received=BEGAN)


@pytest.mark.parametrize("offset", [float("nan"), float("inf"), 1e12])
def test_a_clock_is_not_off_by_ages(offset):
    with pytest.raises(InvalidQuantity, match="offset_s"):
        Times(observed=BEGAN, written=BEGAN, received=BEGAN, offset_s=offset)


@pytest.mark.parametrize("line", case_lines(), ids=lambda one: type(one).__name__)
def test_every_kind_of_line_comes_back_as_it_was(line):
    assert line_of_text(fixed_text(content_of(line))) == line


def test_a_measured_offset_of_the_clock_comes_back():
    line = replace(entry(2), times=replace(times(1.0), offset_s=-12.5))

    assert line_of_content(content_of(line)) == line
    assert content_of(line)["times"]["offset_s"] == "-12.500"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"format": 2}, "format 2; format 1"),
        ({"line": "note"}, "no kind of line"),
        ({"colour": "red"}, "unknown in a line: colour"),
        ({"order": "2"}, "order of a line is no int"),
        ({"order": True}, "order of a line is no int"),
        ({"author_confirmed": "yes"}, "no bool"),
        ({"what": None}, "what of a line is no str"),
        ({"kind": "gossip"}, "'gossip' is no kind"),
        ({"details": {"dose": 3}}, "hold text by name"),
        ({"details": []}, "hold text by name"),
        ({"kind": ["vital"]}, "no kind"),
        ({"times": None}, "observed, written and received"),
        ({"times": {"observed": 1, "written": 1, "received": 1, "offset_s": None}}, "not a time"),
    ],
)
def test_a_line_with_odd_parts_is_refused(change, why):
    with pytest.raises(PlanUnreadable, match=why):
        line_of_content({**content_of(entry(2)), **change})


@pytest.mark.parametrize("offset", ["nan", "inf", "1e3", "12", 3, "x"])
def test_an_offset_is_written_in_one_way_only(offset):
    content = content_of(entry(2))
    content["times"]["offset_s"] = offset

    with pytest.raises(PlanUnreadable, match="three decimals"):
        line_of_content(content)


def test_late_and_waiting_are_told_apart():
    late = times(10.0, late=7.5)
    ahead = replace(late, offset_s=30.0)

    assert (late.late_by_min, ahead.late_by_min) == (7.5, 7.0)
    assert late.waited_min == pytest.approx(1 / 60)
    assert ahead.waited_min == pytest.approx(31 / 60)


def test_an_amendment_shows_what_now_stands_and_leaves_the_rest():
    standing = {one.id: one for one in entries_now(case_lines())}

    assert standing["r1-2"].number == "201"
    assert standing["r1-2"].author == "S. Vale"
    assert standing["r1-3"].number == "38.10"
    assert case_lines()[1].number == "210"


def test_an_entry_of_the_wrong_case_is_withdrawn_and_stays_in_the_lines():
    lines = case_lines()
    lines[4] = replace(lines[4], withdrawn=True, reason="wrong case")

    assert [one.id for one in entries_now(lines)] == ["r1-3", "r1-4"]
    assert lines[1].id == "r1-2"


def test_an_amendment_of_the_time_alone_keeps_the_reading():
    lines = case_lines()
    moved = BEGAN + timedelta(minutes=2)
    lines[4] = replace(lines[4], typed="", number="", unit="", observed=moved)
    first = entries_now(lines)[0]

    assert (first.number, first.times.observed) == ("210", moved)


def test_of_two_entries_with_one_id_both_stand():
    lines = case_lines()
    twin = replace(lines[2], id=lines[1].id, order=7, typed="38.20 °C", number="38.20")
    standing = entries_now([*lines, twin])

    assert len(standing) == 4
    assert {one.number for one in standing} >= {"201", "38.20"}


@pytest.mark.parametrize("number", ["x", "nan", "inf", "1e9", "1,5", "٣", " 1", "1.", "9" * 41])
def test_what_is_no_number_is_refused_wherever_a_line_is_made_or_read(number):
    for line in (entry(2), case_lines()[4]):
        with pytest.raises(PlanUnreadable, match="no number of a reading"):
            replace(line, number=number)
        with pytest.raises(PlanUnreadable, match="no number of a reading"):
            line_of_content({**content_of(line), "number": number})


@pytest.mark.parametrize("number", ["", "0", "-3", "+1.50", "007", "9" * 40])
def test_digits_as_typed_are_a_number(number):
    assert replace(entry(2), number=number).value == (float(number) if number else None)


def test_an_amended_time_without_a_zone_is_refused():
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        replace(case_lines()[4], observed=BEGAN.replace(tzinfo=None))


def test_an_amendment_of_nothing_known_changes_nothing():
    lines = case_lines()
    lines[4] = replace(lines[4], of="r9-1")

    assert entries_now(lines) == tuple(lines[1:4])


def test_the_facts_of_a_case_are_text_by_name():
    text = fixed_text(content_of(opened()))

    assert json.loads(text)["facts"]["species"] == "rabbit"
    assert datetime.fromisoformat(json.loads(text)["times"]["observed"]).tzinfo is UTC

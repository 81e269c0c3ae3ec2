"""What a chart holds: real times, one value for a box with the span of the rest, rows, numbers."""

from datetime import timedelta

import pytest

from tests.web.records.world import (
    BEGAN,
    Case,
    CaseOpened,
    EntryKind,
    EntryText,
    mice_case,
    sheep_case,
)
from ullage.answers.record.charted import (
    ChartClock,
    Mark,
    boxed,
    case_charts,
    events_numbered,
)
from ullage.answers.record.standing import record_standing


def at(minute):
    return BEGAN + timedelta(minutes=minute)


def charts(case, **more):
    return case_charts(record_standing(case.lines), **more)


def row(chart, key):
    return next(one for one in chart.rows if one.key == key)


@pytest.fixture(scope="module")
def sheep():
    return case_charts(record_standing(sheep_case()))


def test_four_hours_and_what_came_before_are_one_chart_of_whole_boxes(sheep):
    (chart,) = sheep

    assert (chart.first, chart.last) == (at(-40), at(245))
    assert {one.key for one in chart.series} == {
        *("systolic", "diastolic", "mean", "heart_rate", "breaths")
    }


def test_an_entry_stands_at_its_own_time_and_not_at_the_edge_of_a_box():
    case = Case()
    case.read(7.3, "heart_rate", "92 /min")
    (chart,) = charts(case)

    assert chart.series[0].marks[0].at == at(7.3)
    assert chart.first == at(5)


def test_one_value_of_a_box_is_shown_and_the_span_of_the_others_is_kept():
    marks = [
        Mark(at=at(minute), text="", value=value) for minute, value in ((1, 90), (2, 40), (3, 95))
    ]
    (box,) = boxed(marks)

    assert (box.shown.value, box.low, box.high, box.count) == (90, 40, 95, 3)


def test_an_amended_value_is_shown_before_a_late_one_and_that_before_the_first():
    first, late = (
        Mark(at=at(1), text="", value=1.0),
        Mark(at=at(2), text="", value=2.0, is_late=True),
    )
    amended = Mark(at=at(3), text="", value=3.0, is_amended=True)

    assert boxed([first, late, amended])[0].shown is amended
    assert boxed([first, late])[0].shown is late


def test_two_boxes_meet_at_five_minutes():
    marks = [Mark(at=at(minute), text="", value=1.0) for minute in (4.99, 5.0)]

    assert [one.count for one in boxed(marks)] == [1, 1]


def test_rows_that_nobody_entered_are_there_and_empty():
    case = Case()
    case.read(1, "heart_rate", "92 /min")
    (chart,) = charts(case)

    empty = [one.key for one in chart.rows if not one.marks]
    assert empty == [
        *("mean", "oxygen_saturation", "end_tidal_co2", "inspired_co2", "ventilation"),
        *("temperature", "dial", "flow", "end_tidal_anything", "eyelid", "jaw", "eye", "fluids"),
    ]


def test_a_temperature_names_its_site_and_two_sites_are_two_rows():
    case = Case()
    case.read(1, "temperature_rectal", "38.1 °C")
    case.read(2, "temperature", "37.0 °C", details={"site": "ear"})
    case.read(3, "temperature", "36.0 °C")
    (chart,) = charts(case)

    titles = [one.title for one in chart.rows if one.key.startswith("temperature")]
    assert sorted(titles) == ["Temp, ear", "Temp, rectal", "Temp, site unknown"]


def test_a_reading_in_another_unit_keeps_its_own_and_is_placed_converted():
    case = Case()
    case.read(1, "cuff_mean", "12.0 kPa")
    (chart,) = charts(case)

    (mark,) = row(chart, "mean").marks
    assert mark.text == "12.0 kPa"
    assert mark.value == pytest.approx(90.0, abs=0.02)  # 1 mmHg is 133.322 Pa (BIPM, SI Brochure)


def test_of_two_ways_to_measure_the_pressure_one_is_drawn_and_the_other_is_a_row():
    case = Case()
    case.read(1, "cuff_systolic", "110 mmHg")
    case.read(2, "arterial_systolic", "104 mmHg")
    (chart,) = charts(case)

    assert [one.title for one in chart.series] == ["Systolic pressure in an artery"]
    assert row(chart, "cuff_systolic").marks[0].text == "110"


def test_fluids_add_up_by_rate_and_volume():
    case = Case()
    case.add(CaseOpened, 0, facts={"weight": "60 kg"})
    fluid = {"kind": EntryKind.FLUID, "what": "lactated Ringer's", "typed": ""}
    case.add(EntryText, 0, details={"rate": "5 mL/kg/h"}, **fluid)
    case.add(EntryText, 30, details={"volume": "100 mL"}, **fluid)
    case.read(60, "heart_rate", "92 /min")
    (chart,) = charts(case)

    told = {(one.at - BEGAN) / timedelta(minutes=1): one.text for one in row(chart, "fluids").marks}
    # 5 mL/kg/h for 60 kg are 300 mL/h.
    assert told == {0.0: "0", 30.0: "≈ 250", 60.0: "≈ 400"}


def test_numbers_of_events_are_those_of_the_whole_record():
    standing = record_standing(mice_case(3))
    of_two = events_numbered(standing, "M2")

    assert [one.number for one in events_numbered(standing)] == [1, 2, 3, 4, 5, 6]
    assert [one.standing.entry.animal for one in of_two] == ["M2", "M2"]


def test_an_animal_of_a_group_is_drawn_with_the_settings_of_the_bench():
    (chart,) = case_charts(record_standing(mice_case(3)), animal="M2")

    (rate,) = [one for one in chart.series if one.key == "heart_rate"]
    assert [one.text for one in rate.marks] == ["439", "439", "439"]
    assert row(chart, "dial").marks[0].text == "2"


def test_a_long_silence_begins_another_chart_and_a_long_case_is_cut_in_equal_parts():
    case = Case()
    for minute in (0, 10, 60 * 24 * 300):
        case.read(minute, "heart_rate", "92 /min")
    long = Case()
    for minute in range(0, 500, 5):
        long.read(minute, "heart_rate", "92 /min")

    assert [one.first for one in charts(case)] == [at(0), at(60 * 24 * 300)]
    first, second = charts(long)
    assert first.last == second.first
    assert first.last - first.first == second.last - second.first
    assert sum(len(one.series[0].marks) for one in (first, second)) == 100


def test_the_time_now_belongs_to_the_last_chart_while_the_case_is_watched():
    case = Case()
    case.read(0, "heart_rate", "92 /min")
    soon = ChartClock(now=at(80), due=at(85))
    forgotten = ChartClock(now=at(60 * 72))

    assert charts(case, clock=soon)[0].last >= at(86)
    assert charts(case, clock=forgotten)[0].last == at(60)


def test_what_was_set_before_a_chart_stands_at_its_edge_and_a_sign_does_not():
    case = Case()
    case.read(0, "dial", "2.0 %")
    case.read(0, "jaw", "slack")
    for minute in range(0, 500, 5):
        case.read(minute, "heart_rate", "92 /min")
    first, second = charts(case)

    assert [one.text for one in row(first, "dial").marks] == ["2.0"]
    (mark,) = row(second, "dial").marks
    assert (mark.at, mark.text, mark.value) == (second.first, "← 2.0", None)
    assert row(second, "jaw").marks == ()


def test_rows_that_share_a_place_keep_the_order_of_the_variables():
    case = Case()
    for key in ("flow_nitrous_oxide", "flow_air", "flow_oxygen"):
        case.read(1, key, "1 L/min")
    for key in ("tidal_volume", "end_pressure"):
        case.read(2, key, "9 mL" if key == "tidal_volume" else "9 cmH2O")
    (chart,) = charts(case)

    keys = [one.key for one in chart.rows if one.marks]
    assert keys == [
        *("flow_oxygen", "flow_air", "flow_nitrous_oxide", "end_pressure", "tidal_volume")
    ]

"""Numbers, times and names as a site shows them."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from ullage.answers import Answer
from ullage.web.shared import display
from ullage.web.sites.models import Site

pytestmark = pytest.mark.web

BAR = Site(pressure_unit="bar", temperature_unit="°C")
PSI = Site(pressure_unit="psi", temperature_unit="°F")


def answer(unit, value=None, low=None, high=None):
    return Answer(
        question="?", unit=unit, sentence=".", reasons=(), where_from=(), value=value, low=low,
        high=high,
    )  # fmt: skip


@pytest.fixture(autouse=True)
def london():
    with timezone.override(ZoneInfo("Europe/London")):
        yield


def test_a_pressure_stands_in_the_unit_of_the_gauges():
    # 7100 kPa is 1029.8 psi by definition; a gauge of 3000 psi is not read to a single psi.
    assert display.pressure(7_100.0, BAR) == "71 bar"
    assert display.pressure(7_100.0, PSI) == "1030 psi"


def test_a_temperature_stands_in_the_unit_of_the_site():
    assert display.temperature(293.15, BAR) == "20 °C"
    assert display.temperature(294.2611, PSI) == "70 °F"


def test_an_answer_in_kilopascal_stands_in_the_unit_of_the_gauges():
    kept = answer("kPa", 1_379.0, 1_300.0, 1_400.0)

    assert display.answer_number(kept, PSI) == "200 psi"
    assert display.answer_range(kept, BAR) == "13 to 14 bar"


def test_other_answers_stand_as_they_are():
    assert display.answer_number(answer("L", 343.2), PSI) == "343 L"
    assert display.answer_number(answer("min", 161.0), PSI) == "2 h 41 min"
    assert display.answer_number(answer("L"), PSI) == ""


def test_a_band_open_at_one_end_says_so():
    assert display.answer_range(answer("L", low=300.0), BAR) == "at least 300 L"
    assert display.answer_range(answer("L", high=400.0), BAR) == "at most 400 L"
    assert display.answer_range(answer("L"), BAR) == ""


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2 h 41 min", [("2", "h"), ("41", "min")]),
        ("343 L", [("343", "L")]),
        ("5\u202f790 L", [("5\u202f790", "L")]),
        ("11:40", [("11:40", "")]),
    ],
)
def test_a_number_is_taken_apart_for_the_headline(text, parts):
    assert display.number_parts(text) == parts


def test_a_time_of_another_day_names_its_day():
    now = datetime(2026, 6, 9, 9, 31, tzinfo=UTC)

    assert display.day_and_clock(datetime(2026, 6, 9, 6, 52, tzinfo=UTC), now) == "07:52"
    assert display.day_and_clock(datetime(2026, 6, 5, 15, 40, tzinfo=UTC), now) == (
        "Fri 5 June, 16:40"
    )
    assert display.day_and_clock(datetime(2025, 12, 1, 8, 0, tzinfo=UTC), now) == (
        "Mon 1 December 2025, 08:00"
    )


@pytest.mark.parametrize(
    ("name", "letters"),
    [("Tara Keld", "T.K."), ("Vera van den Looks", "V.L."), ("Cher", "C."), ("", "O.")],
)
def test_initials_come_from_the_name(name, letters):
    assert display.initials_of(name, "otto") == letters


@pytest.mark.parametrize(
    ("how_known", "mark"),
    [
        ("seen", "print"),
        ("memory", "mem"),
        ("computed", "comp"),
        ("common", "prac"),
        ("site", "site"),
        ("reading", "inst"),
    ],
)
def test_each_way_of_knowing_has_its_own_mark(how_known, mark):
    assert display.known_as(how_known)[0] == mark


@pytest.mark.parametrize(("source", "mark"), [("reading", "inst"), ("entered", "inst")])
def test_what_a_person_saw_in_the_room_is_not_called_seen_in_print(source, mark):
    assert display.known_as("seen", source)[0] == mark
    assert "print" not in display.known_as("seen", source)[1]


def test_memory_is_never_shown_as_sourced():
    assert "not confirmed" in display.known_as("memory")[1]
    assert display.known_as("hearsay") == ("mem", "hearsay")


@pytest.mark.parametrize(("low", "high", "shown"), [(0.25, 0.25, ""), (0.25, 0.5, "0.25 to 0.5 L")])
def test_a_band_that_reads_as_one_number_is_not_printed_beside_it(low, high, shown):
    assert display.answer_range(answer("L", 0.25, low, high)) == shown

"""Units, names and entries as charts and printed records show them."""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from tests.answers.record.cases import entry
from tests.answers.record.running import value, word
from ullage.answers.record.printed import entry_name, entry_words, local_time, unit_words
from ullage.answers.record.things import EntryKind


@pytest.mark.parametrize(
    ("kept", "read"),
    [
        ("mm[Hg]", "mmHg"),
        ("cm[H2O]", "cmH₂O"),
        ("Cel", "°C"),
        ("{beats}/min", "/min"),
        ("%{vol}", "%"),
        ("ug/kg/min", "µg/kg/min"),
        ("1", ""),
        ("L/min", "L/min"),
        ("parsec", "parsec"),
        ("", ""),
    ],
)
def test_a_unit_is_read_as_people_write_it(kept, read):
    assert unit_words(kept) == read


def test_a_variable_is_called_by_its_name():
    name = entry_name(value(1, "heart_rate", "120"))

    assert name != "heart_rate"
    assert name.lower() == "heart rate"


def test_a_drug_is_called_as_it_was_typed_also_where_a_variable_is_called_so():
    odd = word(5, "heart_rate", kind=EntryKind.DRUG)

    assert entry_name(odd) == "heart_rate"


def test_words_without_a_name_are_called_by_their_kind():
    note = entry(2, " ", "350 mL drained", kind=EntryKind.TEXT)

    assert entry_name(note) == EntryKind.TEXT.words.capitalize()


@pytest.mark.parametrize(
    ("key", "typed", "words"),
    [
        ("heart_rate", "120.0", "120.0 /min"),
        ("temperature_rectal", "38.10 °C", "38.10 °C"),
        ("cuff_mean", "70 mmHg", "70 mmHg"),
        ("dial", "0 %", "0 %"),
    ],
)
def test_a_number_keeps_its_places(key, typed, words):
    assert entry_words(value(1, key, typed)) == words


def test_what_was_given_is_read_in_one_order_and_the_rest_after_it():
    details = {"lot": "A7", "site": "left ear", "dose": "0.3 mg/kg", "concentration": "5 mg/mL"}
    given = word(5, "midazolam", "never shown", kind=EntryKind.DRUG, details=details)

    assert entry_words(given) == "0.3 mg/kg, at 5 mg/mL, lot A7, site left ear"


def test_an_empty_detail_is_left_out():
    given = word(5, "midazolam", kind=EntryKind.DRUG, details={"dose": "1 mg", "route": "  "})

    assert entry_words(given) == "1 mg"


def test_an_entry_of_nothing_says_nothing():
    assert entry_words(word(5, "awake")) == ""


def test_the_same_time_on_the_clock_twice_is_two_times():
    # London, 25 October 2026: 02:00 becomes 01:00
    zone = ZoneInfo("Europe/London")
    first, second = (datetime(2026, 10, 25, hour, 30, tzinfo=UTC) for hour in (0, 1))

    shown = [local_time(one, zone) for one in (first, second)]
    assert [f"{one:%H:%M}" for one in shown] == ["01:30", "01:30"]
    assert [one.utcoffset() for one in shown] == [timedelta(hours=1), timedelta(0)]


@pytest.mark.parametrize(
    ("at", "hours"),
    [
        (datetime.min.replace(tzinfo=UTC), -14),
        (datetime.max.replace(tzinfo=UTC), 14),
    ],
)
def test_a_time_at_the_end_of_the_calendar_is_shown_as_it_is(at, hours):
    away = timezone(timedelta(hours=hours))

    assert local_time(at, away) == at
    assert local_time(at, away).tzinfo is UTC

"""Readings that are asked about and never refused; lines that are no lines, each told why."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN, case_lines, entry, times
from ullage.answers import Verdict
from ullage.answers.record.doubts import entry_faults, is_late, reading_doubted
from ullage.answers.record.things import EntryKind
from ullage.core.errors import UnknownReference, UnreadableQuantity
from ullage.reference.record import variable_rows

DRUG = case_lines()[3]
FIXED = case_lines()[4]
SIGNED = case_lines()[5]
HEART = entry(2, number="210", unit="/min")


@pytest.mark.published("physiology_values")
@pytest.mark.parametrize(
    ("key", "number", "unit", "species", "is_odd"),
    [
        # physiology_values E052 to E065, DEFAULT ALERTS (memory)
        ("heart_rate", 99.0, "/min", "cat", True),
        ("heart_rate", 100.0, "/min", "cat", False),
        ("heart_rate", 200.0, "{beats}/min", "cat", False),
        ("heart_rate", 201.0, "/min", "cat", True),
        ("heart_rate", 201.0, "/min", "mouse", True),
        ("heart_rate", 500.0, "/min", "mouse", False),
        ("respiratory_rate", 5.0, "/min", "dog", True),
        ("cuff_mean", 59.0, "mm[Hg]", "dog", True),
        ("cuff_mean", 8.0, "kPa", "dog", False),
        ("arterial_mean", 7.9, "kPa", "dog", True),
        ("temperature", 35.4, "Cel", "dog", True),
        ("temperature", 98.6, "[degF]", "dog", False),
        ("temperature_rectal", 40.1, "Cel", "rabbit", True),
        ("heart_rate", 24.0, "/min", "pony", True),
    ],
)
def test_a_reading_outside_the_proposed_limits_is_asked_about(key, number, unit, species, is_odd):
    answer = reading_doubted(key, number, unit, species)

    assert (answer.verdict is Verdict.LOOK_AGAIN) == is_odd
    assert bool(answer.settles) == is_odd
    assert answer.value == number


def test_what_is_asked_names_the_limits_and_that_they_are_recalled():
    answer = reading_doubted("cuff_mean", 40.0, "mm[Hg]", "horse")

    assert (
        answer.settles == "Is 40 mm[Hg] what was meant? Proposed for a horse: 70 mm[Hg] at least."
    )
    assert "memory" in {one.how_known for one in answer.where_from}
    assert "from memory" in answer.cautions[0]


@pytest.mark.parametrize(
    ("key", "number", "unit", "why"),
    [
        ("oxygen_saturation", 101.0, "%", "between 0 and 100"),
        ("inspired_isoflurane", -0.1, "%{vol}", "between 0 and 100"),
        ("heart_rate", -1.0, "/min", "below nothing"),
        ("gauge", -3.0, "bar", "below nothing"),
    ],
)
def test_what_cannot_be_is_asked_about_too(key, number, unit, why):
    assert why in reading_doubted(key, number, unit, "chicken").settles


@pytest.mark.parametrize(
    ("key", "number", "unit"),
    [("airway_pressure", -3.0, "cm[H2O]"), ("room_temperature", -5.0, "Cel")],
)
def test_what_may_lie_below_zero_is_not_asked_about(key, number, unit):
    assert reading_doubted(key, number, unit, "dog").verdict is Verdict.FINE


def test_without_limits_for_the_species_it_says_so():
    answer = reading_doubted("heart_rate", 900.0, "/min", "Chicken ")

    assert answer.verdict is Verdict.FINE
    assert "No limits are known for it in a chicken." in answer.reasons


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf"), 1e300])
def test_what_is_no_number_is_refused(number):
    with pytest.raises(UnreadableQuantity, match="no reading of it"):
        reading_doubted("heart_rate", number, "/min", "cat")


def test_another_unit_and_another_thing_are_refused():
    with pytest.raises(UnreadableQuantity, match="no reading of it"):
        reading_doubted("heart_rate", 60.0, "Hz", "cat")
    with pytest.raises(UnknownReference, match="not observed here"):
        reading_doubted("mood", 1.0, "1", "cat")


@given(
    st.sampled_from([key for key, one in variable_rows().items() if one.ucum]),
    st.floats(-1e6, 1e6),
    st.sampled_from(["cat", "mouse", "chicken", "unicorn", ""]),
    st.data(),
)
def test_every_finite_reading_is_taken(key, number, species, data):
    unit = data.draw(st.sampled_from(variable_rows()[key].ucum))
    answer = reading_doubted(key, number, unit, species)

    assert answer.value == number
    assert answer.verdict in {Verdict.FINE, Verdict.LOOK_AGAIN}


@pytest.mark.parametrize("line", case_lines(), ids=lambda one: one.id)
def test_a_sound_line_has_no_fault(line):
    assert entry_faults(line) == ()


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (replace(HEART, author=" "), "The line has no author."),
        (replace(HEART, id=""), "The line has no id."),
        (replace(HEART, record=""), "The line has no record."),
        (replace(HEART, order=0), "1 or more"),
        (replace(HEART, what="mood"), "'mood' is not observed here."),
        (replace(HEART, kind=EntryKind.GAS), "Heart rate is no measured gas."),
        (replace(HEART, typed="fast"), "no number with a unit"),
        (replace(HEART, number="120"), "does not say 120 /min"),
        (replace(HEART, unit=""), "does not say 210"),
        (replace(HEART, typed="210 kPa"), "'kPa' is not one of"),
        (replace(HEART, kind=EntryKind.TEXT, what="", typed=" "), "holds no word"),
        (replace(DRUG, what=""), "The drug has no name."),
        (replace(DRUG, details={"route": "under the skin"}), "how much was given?"),
        (replace(DRUG, details={"dose": "0.03"}), "Dose needs its unit"),
        (replace(DRUG, details={"dose": "3 g"}), "'g' is not one of"),
        (replace(FIXED, reason=" "), "needs its reason"),
        (replace(FIXED, of=""), "names the entry"),
        (replace(FIXED, of=FIXED.id), "names the entry"),
        (replace(FIXED, typed=""), "says what is different"),
        (replace(SIGNED, printed_name=""), "name in print"),
    ],
)
def test_a_faulty_line_is_told_in_a_sentence(line, why):
    found = entry_faults(line)

    assert any(why in one for one in found), found
    assert all(one.endswith(".") for one in found)


def test_all_faults_are_told_at_once():
    line = replace(HEART, author="", order=-1, what="mood")

    assert len(entry_faults(line)) == 3


def test_an_entry_from_the_future_is_a_fault_of_a_clock():
    ahead = replace(HEART.times, observed=BEGAN + timedelta(hours=1), received=BEGAN)
    slightly = replace(HEART.times, observed=BEGAN + timedelta(seconds=90), received=BEGAN)

    assert "look at the clock" in entry_faults(replace(HEART, times=ahead))[0]
    assert entry_faults(replace(HEART, times=slightly)) == ()


def test_a_correction_may_move_the_time_or_withdraw_alone():
    assert entry_faults(replace(FIXED, typed="", observed=BEGAN)) == ()
    assert entry_faults(replace(FIXED, typed="", withdrawn=True)) == ()


@pytest.mark.parametrize(("late", "expected"), [(0.0, False), (5.0, False), (5.1, True)])
def test_an_entry_looks_late_after_the_time_proposed(late, expected):
    assert is_late(replace(HEART, times=times(10.0, late=late))) is expected


def test_a_site_says_what_is_late():
    assert is_late(replace(HEART, times=times(10.0, late=2.0)), allowed_min=1.0)

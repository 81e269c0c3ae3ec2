"""What the lines of one case say: facts, readings in one unit, levels, one of a group."""

from datetime import timedelta

import pytest

from tests.answers.record.cases import BEGAN, entry, opened, times
from tests.answers.record.running import amends, case, seen, value, word
from ullage.answers.record.seen import case_seen
from ullage.answers.record.things import EntryKind


def at(minute):
    return BEGAN + timedelta(minutes=minute)


def test_a_case_without_lines_says_nothing():
    found = case_seen([])

    assert (found.facts, found.entries, found.weight_kg) == ({}, (), None)
    assert found.fact("species") == ""
    assert found.minutes("anaesthesia began", "anaesthesia ended") is None


def test_a_fact_that_is_said_anew_replaces_only_itself():
    lines = case(facts={"species": "cat", "sex": "female"})
    lines.append(opened(9, facts={"sex": " male "}, reason="looked again"))
    found = case_seen(lines)

    assert (found.fact("species"), found.fact("sex")) == ("cat", "male")


@pytest.mark.parametrize(
    ("typed", "kg"),
    [("4 kg", 4.0), ("250 g", 0.25), ("0.02 kg", 0.02), ("4", None), ("heavy", None), ("", None)],
)
def test_a_weight_of_the_first_line_is_read_with_its_unit_or_not_at_all(typed, kg):
    found = seen(facts={"species": "cat", "weight": typed})

    assert found.weight_kg == (None if kg is None else pytest.approx(kg))


def test_the_last_weighing_stands_before_what_the_case_was_opened_with():
    found = seen(value(5, "weight", "4.2 kg"), value(30, "weight", "4100 g"))

    assert found.weight_kg == pytest.approx(4.1)


def test_a_weighing_that_was_withdrawn_counts_no_more():
    slip = value(30, "weight", "41 kg")

    assert seen(value(5, "weight", "4.2 kg"), slip).weight_kg == pytest.approx(41.0)
    gone = seen(value(5, "weight", "4.2 kg"), slip, amends(slip, withdrawn=True))
    assert gone.weight_kg == pytest.approx(4.2)


def test_numbers_come_in_the_unit_asked_for_and_in_the_order_of_time():
    # 1 kPa is 7.50062 mmHg (SI, conventional millimetre of mercury: 133.322 Pa)
    found = seen(value(20, "cuff_mean", "10 kPa"), value(10, "cuff_mean", "70 mmHg"))

    assert found.numbers("mm[Hg]", "cuff_mean") == pytest.approx([70.0, 75.006], abs=0.001)
    assert found.numbers("Cel", "cuff_mean") == []


def test_a_star_takes_every_variable_that_begins_so():
    found = seen(
        value(1, "cuff_mean", "70 mmHg"),
        value(2, "arterial_mean", "72 mmHg"),
        value(3, "heart_rate", "120"),
    )

    assert [one.what for one in found.of("cuff_*")] == ["cuff_mean"]
    assert [one.what for one in found.pressures] == ["cuff_mean", "arterial_mean"]
    assert [one.what for one in found.of("heart_rate", "arterial_*")] == [
        "arterial_mean",
        "heart_rate",
    ]
    assert found.of("cuff") == ()


def test_a_drug_that_is_named_like_a_variable_is_no_reading_of_it():
    odd = word(5, "heart_rate", kind=EntryKind.DRUG, details={"dose": "1 mg"})

    assert seen(odd).of("heart_rate") == ()
    assert [one.what for one in seen(odd).kinds(EntryKind.DRUG)] == ["heart_rate"]


@pytest.mark.parametrize(
    ("begun", "ended", "minutes"), [(0, 90, 90.0), (0, 0, 0.0), (0.5, 1, 0.5), (10, 5, None)]
)
def test_minutes_between_two_events_need_both_in_their_order(begun, ended, minutes):
    found = seen(word(begun, "anaesthesia began"), word(ended, "anaesthesia ended"))

    assert found.minutes("anaesthesia began", "anaesthesia ended") == minutes
    assert found.minutes("anaesthesia began", "procedure ended") is None


def test_of_an_event_that_was_written_twice_the_first_seen_counts():
    later, earlier = word(9, "tube in"), word(3, "tube in", order=7)

    assert seen(later, earlier).event("tube in", "mask on") == at(3)


def test_an_event_whose_time_was_corrected_is_at_its_new_time():
    told = word(9, "tube in")

    assert seen(told, amends(told, observed=at(2))).event("tube in") == at(2)


LEVELS = (
    value(0, "phase", "induction"),
    value(1, "dial", "4 %"),
    value(10, "phase", "imaging"),
    value(11, "dial", "2 %"),
    value(50, "dial", "1.5 %"),
)


def test_levels_of_the_induction_stand_apart_from_those_after_it():
    assert seen(*LEVELS).levels("dial", induction=True) == [4.0]
    assert seen(*LEVELS).levels("dial") == [2.0, 1.5]


def test_a_dial_that_is_turned_off_at_the_end_is_no_level_that_was_kept():
    end = word(60, "anaesthesia ended")

    assert seen(*LEVELS, end, value(60, "dial", "0 %")).levels("dial") == [2.0, 1.5]
    over = seen(*LEVELS, value(60, "phase", "recovery"), value(61, "dial", "0 %"))
    assert over.levels("dial") == [2.0, 1.5]


def test_oxygen_and_carbon_dioxide_are_no_levels_of_an_agent():
    found = seen(
        value(11, "end_tidal_isoflurane", "1.3 %"),
        value(11, "inspired_oxygen", "95 %"),
        value(11, "end_tidal_co2", "40 mmHg"),
    )

    assert found.levels("end_tidal_isoflurane", "inspired_oxygen", "end_tidal_co2") == [1.3]


def test_of_a_group_an_entry_counts_for_its_animal_and_one_without_a_name_for_all():
    lines = case(
        value(1, "dial", "2 %"),
        value(2, "heart_rate", "480", animal="m1"),
        value(3, "heart_rate", "510", animal="m2", id="r1-m2"),
    )

    assert [one.typed for one in case_seen(lines, "m1").entries] == ["2 %", "480"]
    assert [one.typed for one in case_seen(lines, "m2").entries] == ["2 %", "510"]
    assert [one.typed for one in case_seen(lines, "M1").entries] == ["2 %"]
    assert len(case_seen(lines).entries) == 3


def test_two_entries_of_one_second_stand_in_the_order_in_which_they_were_written():
    first = entry(3, typed="120", number="120", unit="/min", times=times(5.0))
    second = entry(2, typed="90", number="90", unit="/min", times=times(5.0))

    assert [one.typed for one in case_seen([opened(), first, second]).entries] == ["90", "120"]


def test_a_number_stays_as_it_was_typed():
    found = seen(value(1, "heart_rate", "120.0"), value(2, "temperature_rectal", "38.10 °C"))

    assert [one.number for one in found.entries] == ["120.0", "38.10"]

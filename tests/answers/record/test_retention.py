"""Clocks of keeping: each from its day, the longest counts, and no day means no end."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Verdict
from ullage.answers.record.retention import (
    KeptRecord,
    clock_rules,
    retention_date,
    retention_until,
)
from ullage.core.errors import InvalidQuantity, UnknownReference

MADE = date(2026, 6, 8)
PIG = KeptRecord(species="pig", made=MADE)
DOG = KeptRecord(species="dog", made=MADE)
DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))


@pytest.mark.published("records_standards")
@pytest.mark.parametrize(
    ("rule", "record", "until"),
    [
        # records_standards REC-014, REC-015: 3 years, and 3 after the activity
        ("awa", replace(PIG, activity_ended=date(2027, 1, 31)), date(2030, 1, 31)),
        ("awa", replace(PIG, activity_ended=date(2026, 1, 31)), date(2029, 6, 8)),
        # REC-016, REC-035: 3 years
        ("phs", replace(PIG, activity_ended=date(2027, 1, 31)), date(2030, 1, 31)),
        ("ucla", replace(PIG, activity_ended=date(2027, 1, 31)), date(2030, 1, 31)),
        # EU-002: 5 years; EU-003: dogs, cats, primates 3 years after death or rehoming
        ("eu", PIG, date(2031, 6, 8)),
        ("eu", replace(DOG, animal_left=date(2035, 3, 1)), date(2038, 3, 1)),
        ("eu", replace(DOG, animal_left=date(2026, 9, 1)), date(2031, 6, 8)),
        # UK-002: 5 years
        ("aspa", PIG, date(2031, 6, 8)),
        # GLP-004: 2 after approval, 5 after submission, 2 after the end
        ("glp", replace(PIG, study_ended=date(2027, 1, 1)), date(2029, 1, 1)),
        (
            "glp",
            replace(PIG, study_ended=date(2027, 1, 1), submitted=date(2027, 6, 1)),
            date(2032, 6, 1),
        ),
        (
            "glp",
            replace(PIG, study_ended=date(2027, 1, 1), approved=date(2031, 6, 1)),
            date(2033, 6, 1),
        ),
        # CD-001: 2 years; CD-010: 3 years
        ("controlled_drugs", PIG, date(2028, 6, 8)),
        ("minnesota", PIG, date(2029, 6, 8)),
    ],
)
def test_each_clock_runs_from_its_day(rule, record, until):
    assert retention_date(record, [rule]) == until


def test_the_longest_of_all_that_apply_counts():
    record = replace(PIG, activity_ended=date(2027, 1, 31))
    answer = retention_until(record, ["awa", "eu", "controlled_drugs"])

    assert answer.sentence == "Kept until 08 June 2031 at least."
    assert answer.value == (date(2031, 6, 8) - MADE).days
    assert [one.label for one in answer.views if one.chosen] == ["Directive 2010/63/EU, Article 30"]
    assert len(answer.views) == 4


def test_what_is_from_memory_says_so():
    answer = retention_until(replace(DOG, animal_left=MADE), ["eu", "aspa"])

    assert [one.how_known for one in answer.views] == ["seen", "memory", "memory"]


@pytest.mark.parametrize(
    ("rule", "record", "asked"),
    [
        ("awa", PIG, "On which day did the activity under this protocol end?"),
        ("eu", DOG, "On which day did the animal die or leave?"),
        ("glp", PIG, "On which day did the study end?"),
    ],
)
def test_while_a_day_is_not_known_there_is_no_end(rule, record, asked):
    answer = retention_until(record, [rule])

    assert retention_date(record, [rule]) is None
    assert answer.value is None
    assert answer.verdict is Verdict.NOT_YET
    assert answer.settles == asked
    assert answer.todo.startswith("Keep it")
    assert not any(one.chosen for one in answer.views)


def test_a_clock_known_beside_one_unknown_is_said_to_be_no_end():
    said = retention_until(PIG, ["awa"]).sentence

    assert said == "Kept until 08 June 2029 and beyond: another clock has no first day yet."


def test_without_a_rule_nothing_is_destroyed():
    answer = retention_until(PIG, [])

    assert answer.verdict is Verdict.NOT_YET
    assert answer.settles == "Which rules of keeping hold here?"
    assert answer.sentence == "Kept without an end: no clock has a date yet."


def test_a_site_keeps_longer_and_never_shorter_than_the_rules():
    assert retention_date(PIG, ["eu"], 10.0) == date(2036, 6, 8)
    assert retention_date(PIG, ["eu"], 1.0) == date(2031, 6, 8)
    assert retention_date(PIG, [], 7.0) == date(2033, 6, 8)


@pytest.mark.parametrize("years", [0.0, -1.0, 101.0, float("nan"), float("inf")])
def test_a_site_does_not_keep_for_no_time(years):
    with pytest.raises(InvalidQuantity, match="own_years"):
        retention_until(PIG, ["eu"], years)


def test_an_unknown_rule_is_answered_with_those_there_are():
    with pytest.raises(UnknownReference, match="'moon' is no rule of keeping; they are awa, phs"):
        retention_until(PIG, ["eu", "moon"])


def test_the_twenty_ninth_of_february_ends_a_day_later():
    leap = KeptRecord(species="pig", made=date(2028, 2, 29))

    assert retention_date(leap, ["eu"]) == date(2033, 3, 1)
    assert retention_date(leap, [], 4.0) == date(2032, 2, 29)


def test_the_last_year_of_the_calendar_does_not_break():
    late = KeptRecord(species="pig", made=date(9998, 6, 8))

    assert retention_date(late, ["eu"]) == date.max


def test_only_dogs_cats_and_primates_have_a_file_of_their_own():
    for species, count in (("dog", 2), ("cat", 2), ("macaque", 2), ("pig", 1), ("mouse", 1)):
        record = KeptRecord(species=species, made=MADE, animal_left=MADE)
        assert len(retention_until(record, ["eu"]).views) == count


@given(DAYS, st.sets(st.sampled_from(clock_rules()), min_size=1), st.data())
def test_one_rule_more_never_shortens_the_time(made, rules, data):
    ended = data.draw(DAYS)
    more = data.draw(st.sampled_from(clock_rules()))
    record = KeptRecord(
        species="dog", made=made, activity_ended=ended, animal_left=ended, study_ended=ended
    )
    before, after = retention_date(record, rules), retention_date(record, {*rules, more})

    assert after >= before
    assert retention_until(record, rules).value == (before - made).days

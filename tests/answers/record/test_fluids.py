"""Fluids are added up from volumes and rates as they were typed."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN
from tests.answers.record.running import fluid, seen, word
from ullage.answers.record.fluids import fluids_given, fluids_now
from ullage.answers.record.things import EntryKind


def at(minute):
    return BEGAN + timedelta(minutes=minute)


def total(*entries, minute=60):
    return sum(one.given_ml for one in fluids_now(seen(*entries), at(minute)))


def test_a_rate_runs_from_its_entry_until_the_next_rate():
    # 4 kg at 5 mL/kg/h is 20 mL/h: half an hour of it, then half an hour at 40 mL/h
    assert total(fluid(0, rate="5 mL/kg/h"), fluid(30, rate="40 mL/h")) == pytest.approx(30.0)


def test_a_rate_of_nothing_stops_it():
    assert total(fluid(0, rate="60 mL/h"), fluid(10, rate="0 mL/h")) == pytest.approx(10.0)


def test_a_bolus_adds_to_what_runs():
    found = fluids_now(seen(fluid(0, rate="60 mL/h"), fluid(30, volume="20 mL")), at(60))

    assert found[0].given_ml == pytest.approx(80.0)
    assert (found[0].rate, found[0].since) == ("60 mL/h", at(0))


def test_microlitres_are_read():
    assert total(fluid(0, volume="200 uL")) == pytest.approx(0.2)


def test_what_cannot_be_added_up_is_said_and_not_guessed():
    odd = word(5, "plasma", kind=EntryKind.FLUID, details={"dose": "some"})
    found = fluids_now(seen(odd), at(60))

    assert found[0].unknown
    assert any("plasma has no volume" in one for one in fluids_given(found).cautions)


def test_a_rate_by_weight_without_a_weight_is_not_guessed():
    lines = seen(fluid(0, rate="5 mL/kg/h"), facts={"species": "cat"})

    assert fluids_now(lines, at(60))[0].unknown


def test_the_total_names_each_fluid():
    found = fluids_given(fluids_now(seen(fluid(0, rate="60 mL/h")), at(60)))

    assert found.value == pytest.approx(60.0)
    assert found.steps[0].note == "Runs at 60 mL/h since 09:00 UTC."
    assert fluids_given([]).value is None


@given(st.lists(st.tuples(st.integers(0, 55), st.integers(0, 200)), max_size=6))
def test_the_total_never_falls_with_time(rates):
    entries = [fluid(minute, rate=f"{rate} mL/h") for minute, rate in dict(rates).items()]

    found = [total(*entries, minute=minute) for minute in (0, 20, 40, 60, 90)]
    assert found == sorted(found)

"""What of the lines is warned of: statements where somebody entered it, questions otherwise."""

from datetime import timedelta

import pytest

from tests.answers.record.cases import BEGAN
from tests.answers.record.running import CAT, amends, seen, value, word
from ullage.answers.breathing_names import BreathingSystem
from ullage.answers.record.intervals import Phase
from ullage.answers.record.warned import warnings_now
from ullage.answers.record.watching import (
    CaseKnown,
    acknowledged_in,
    phase_of,
    system_of,
    watched_of,
)


def at(minute):
    return BEGAN + timedelta(minutes=minute)


def told(*entries, minute=10, known=None, facts=CAT):
    """Warning, cause and whether it asks, of some entries."""
    lines = seen(*entries, facts=facts)
    found = warnings_now(watched_of(lines, at(minute), known), acknowledged_in(lines))
    return {(one.warning, one.cause): one.is_question for one in found}


ON = (
    value(0, "dial", "2 %"),
    value(0, "flow_oxygen", "1 L/min"),
    word(0, "connected"),
    word(0, "relief valve open"),
)
CALM = (
    *ON,
    word(0, "second source at hand"),
    value(0, "heating", "warm air blanket"),
    value(1, "temperature_rectal", "38.1 °C"),
)
FULL = CaseKnown(supply_left_min=300.0, supply_read_at=at(-5), ends_at=at(60))


def test_a_case_in_which_all_was_entered_is_quiet():
    assert told(*CALM, known=FULL) == {}


def test_before_anything_flows_nothing_is_asked():
    assert told() == {}


def test_what_nobody_entered_is_asked():
    assert told(*ON) == {
        ("supply", "not read"): True,
        ("supply", "second source"): True,
        ("temperature", "warming"): True,
    }


def test_the_first_gas_connects_where_no_event_says_so():
    found = watched_of(seen(value(3, "dial", "2 %")), at(10))

    assert found.connected_at == at(3)


@pytest.mark.parametrize(
    ("entry", "cause"),
    [(word(5, "leak test"), "leak test"), (word(5, "breath by hand"), "breath by hand")],
)
def test_the_valve_is_asked_about_after_each_leak_test_and_breath_by_hand(entry, cause):
    # machine 4.4, warning 1: hidden failures first
    assert told(*CALM, entry, known=FULL) == {("relief_valve", cause): True}
    assert told(*CALM, entry, word(6, "relief valve open"), known=FULL) == {}


def test_a_hand_that_takes_over_and_hands_back_asks_twice_and_not_in_between():
    by_hand = [value(minute, "ventilation", "assisted by hand") for minute in (5, 10, 15)]
    back = value(20, "ventilation", "breathing by itself")
    found = watched_of(seen(*CALM, *by_hand, back), at(25))

    assert found.hand_breaths == (at(5), at(20))


def test_a_closed_valve_is_stated():
    assert told(*CALM, word(7, "relief valve closed"), known=FULL) == {
        ("relief_valve", "closed"): False
    }


def test_of_two_words_at_one_time_the_graver_stands():
    found = watched_of(
        seen(word(5, "relief valve open"), word(5, "relief valve closed", order=1)), at(9)
    )

    assert not found.relief_open.is_so


def test_oxygen_that_ends_before_the_case_is_stated():
    short = CaseKnown(supply_left_min=20.0, supply_read_at=at(4), ends_at=at(60))

    assert told(*CALM, known=short) == {("supply", "ends early"): False}


def test_a_flow_below_the_rule_is_stated_and_the_site_may_set_another():
    # fresh_gas, non_rebreathing.safe_ml_min_kg: 250 mL/min for each kilogram, 1 L/min for 4 kg
    low = value(5, "flow_oxygen", "0.5 L/min")

    assert told(*CALM, low, known=FULL) == {("flow", "below need"): False}
    site = CaseKnown(
        supply_left_min=300.0, supply_read_at=at(-5), ends_at=at(60), flow_needed_l_min=0.4
    )
    assert told(*CALM, low, known=site) == {}


def test_on_a_circle_no_flow_is_below_need():
    low = value(5, "flow_oxygen", "0.2 L/min")

    assert told(*CALM, low, known=FULL, facts={**CAT, "system": "circle"}) == {}


def test_the_inner_tube_of_a_coaxial_system_is_asked_about():
    coaxial = {**CAT, "system": "Bain"}

    assert told(*CALM, known=FULL, facts=coaxial) == {("flow", "inner tube"): True}
    assert told(*CALM, word(1, "inner tube firm"), known=FULL, facts=coaxial) == {}
    assert told(*CALM, word(1, "inner tube off"), known=FULL, facts=coaxial) == {
        ("flow", "inner tube off"): False
    }


def test_carbon_dioxide_breathed_in_is_told_in_kilopascals():
    found = watched_of(seen(*CALM, value(8, "inspired_co2", "3 mmHg")), at(10))

    # 1 mmHg is 0.133322 kPa
    assert found.inspired_co2_kpa == pytest.approx(0.39997, rel=1e-4)
    assert told(*CALM, value(8, "inspired_co2", "3 mmHg"), known=FULL) == {
        ("flow", "breathed in"): False
    }


def test_a_disconnected_animal_is_stated_until_it_is_over():
    off = word(8, "disconnected")

    assert told(*CALM, off, known=FULL) == {("connected", "disconnected"): False}
    over = told(*CALM, off, word(8, "anaesthesia ended"), known=FULL)
    assert over == {("recovery", "person"): True}


def test_in_recovery_temperature_is_asked_for_though_nothing_is_connected():
    entries = (*CALM, word(30, "anaesthesia ended"), word(31, "tube out"), word(31, "person stays"))

    # record, warning.temperature_each_min: 15 minutes, a proposal
    assert told(*entries, minute=40, known=FULL) == {}
    assert told(*entries, minute=50, known=FULL) == {("temperature", "not measured"): True}


def test_a_change_of_absorbent_asks_for_a_leak_test():
    change = word(5, "absorbent changed")

    assert told(*CALM, change, known=FULL) == {("leak", "not tested"): True}


def test_a_word_quiets_a_warning_until_its_cause_recurs():
    said = word(
        6,
        "warning acknowledged",
        "turned up",
        details={"warning": "flow", "cause": "breathed in"},
    )
    first, again = value(5, "inspired_co2", "3 mmHg"), value(9, "inspired_co2", "4 mmHg")

    assert told(*CALM, first, said, known=FULL) == {}
    assert told(*CALM, first, said, again, known=FULL) == {("flow", "breathed in"): False}


def test_a_withdrawn_word_quiets_nothing():
    said = word(
        6, "warning acknowledged", "seen", details={"warning": "flow", "cause": "breathed in"}
    )
    first = value(5, "inspired_co2", "3 mmHg")

    assert told(*CALM, first, said, amends(said, withdrawn=True), known=FULL) == {
        ("flow", "breathed in"): False
    }


def test_phase_and_system_are_the_last_words():
    entries = (word(0, "anaesthesia began"), word(30, "anaesthesia ended"))

    assert phase_of(seen(*entries)) == (Phase.RECOVERY, at(30))
    again = (*entries, value(40, "phase", "imaging"))
    assert phase_of(seen(*again)) == (Phase.ANAESTHESIA, at(40))
    assert system_of(seen(value(5, "breathing_system", "circle"))) is BreathingSystem.CIRCLE
    assert system_of(seen(facts={}), "Bain") is BreathingSystem.COAXIAL_D
    assert system_of(seen(facts={}), "something else") is None

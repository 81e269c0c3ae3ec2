"""What the estimator is told of a case: exactly what was entered, in its own units and times."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN
from tests.answers.record.running import CAT, amends, case, seen, value, word
from ullage.answers.record.course import (
    CaseGiven,
    moved_times,
    oxygen_given,
    running_of,
    running_read,
)
from ullage.answers.record.things import EntryKind
from ullage.answers.running_case import case_now

LATER = BEGAN + timedelta(hours=2)
UNITS = {"dial": "%", "flow_oxygen": "L/min"}
DIAL, FLOW = value(0, "dial", "2 %"), value(0, "flow_oxygen", "1.2 L/min")


def settings(*entries, **more):
    return running_of(case(*entries), LATER, **more).settings


def test_dial_and_flow_of_one_minute_are_one_setting():
    (only,) = settings(DIAL, FLOW)

    assert (only.at_min, only.dial_fraction, only.oxygen_l_min) == (0.0, 0.02, 1.2)
    assert only.system == "T-piece"


def test_each_change_is_a_setting_with_all_that_stands():
    found = settings(DIAL, FLOW, value(10, "dial", "1.5 %"), value(20, "flow_air", "800 mL/min"))

    assert [(one.at_min, one.dial_fraction, one.flow_l_min) for one in found] == [
        (0.0, 0.02, 1.2),
        (10.0, 0.015, 1.2),
        (20.0, 0.015, 2.0),
    ]


def test_the_same_setting_entered_again_is_no_change():
    assert len(settings(DIAL, FLOW, value(10, "dial", "2.0 %"))) == 1


def test_entries_may_arrive_in_any_order():
    entries = [DIAL, FLOW, value(10, "dial", "1.5 %"), value(20, "flow_oxygen", "2 L/min")]

    assert settings(*reversed(entries)) == settings(*entries)


def test_what_was_seen_before_the_gas_flowed_is_part_of_the_start():
    found = settings(
        value(-5, "breathing_system", "circle"), value(-3, "flow_oxygen", "3 L/min"), DIAL
    )

    assert [(one.at_min, one.system, one.oxygen_l_min) for one in found] == [(0.0, "circle", 3.0)]


def test_what_lies_after_now_is_left_out():
    found = running_of(case(DIAL, FLOW, value(90, "dial", "3 %")), BEGAN + timedelta(minutes=30))

    assert [one.dial_fraction for one in found.settings] == [0.02]


def test_a_corrected_dial_stands_and_a_withdrawn_one_does_not():
    slip = value(10, "dial", "5 %")
    corrected = settings(DIAL, FLOW, slip, amends(slip, "dial", "1.5 %"))
    withdrawn = settings(DIAL, FLOW, slip, amends(slip, withdrawn=True))

    assert [one.dial_fraction for one in corrected] == [0.02, 0.015]
    assert [one.dial_fraction for one in withdrawn] == [0.02]


@pytest.mark.parametrize(
    ("entries", "facts", "missing"),
    [
        ((DIAL,), CAT, ("the flow",)),
        ((FLOW,), CAT, ("the dial",)),
        ((), CAT, ("the dial", "the flow")),
        ((DIAL, FLOW), {**CAT, "weight": ""}, ("the weight",)),
        ((DIAL, FLOW), {**CAT, "agent": ""}, ("the agent",)),
        ((DIAL, FLOW), {**CAT, "species": ""}, ("the species",)),
    ],
)
def test_what_nobody_entered_is_missing_and_never_filled_in(entries, facts, missing):
    found = running_read(seen(*entries, facts=facts), LATER)

    assert found.case is None
    assert found.missing == missing


def test_the_weight_that_was_taken_last_stands():
    found = running_of(case(DIAL, FLOW, value(-1, "weight", "3900 g")), LATER)

    assert found.subject.weight_kg == pytest.approx(3.9)


def test_a_dial_that_cannot_be_is_named_and_left_out():
    found = running_read(seen(DIAL, FLOW, value(10, "dial", "60 %")), LATER)

    assert len(found.case.settings) == 1
    assert found.left_out == (
        "Dial of the vaporizer 60 % at 09:10 UTC is not reckoned with: look at that entry.",
    )


def test_two_agents_are_not_followed():
    found = running_read(
        seen(DIAL, FLOW, value(0, "agent", "isoflurane"), value(9, "agent", "sevoflurane")), LATER
    )

    assert found.case is None
    assert "isoflurane and sevoflurane" in found.left_out[0]


def test_an_agent_that_was_entered_replaces_the_planned_one():
    found = running_of(case(DIAL, FLOW, value(0, "agent", "sevoflurane")), LATER)

    assert found.subject.agent == "sevoflurane"


def test_both_levels_of_one_time_are_one_reading_of_the_agent_that_is_given():
    found = running_read(
        seen(
            DIAL,
            FLOW,
            value(10, "end_tidal_isoflurane", "1.6 %"),
            value(10, "inspired_isoflurane", "1.9 %"),
            value(15, "end_tidal_agent", "1.5 %"),
            value(15, "end_tidal_co2", "38 mmHg"),
            value(16, "inspired_oxygen", "95 %"),
            value(17, "end_tidal_halothane", "0.4 %"),
            value(-2, "end_tidal_isoflurane", "0.1 %"),
        ),
        LATER,
    )
    readings = found.case.readings

    assert [one.at_min for one in readings] == [10.0, 15.0]
    assert readings[0].end_tidal_fraction == pytest.approx(0.016)
    assert readings[0].inspired_fraction == pytest.approx(0.019)
    assert found.left_out == (
        "End-tidal halothane 0.4 % at 09:17 UTC is not reckoned with: look at that entry.",
    )


def test_a_machine_breathes_with_what_was_entered_and_small_moves_change_nothing():
    found = settings(
        DIAL,
        FLOW,
        value(5, "ventilation", "ventilator, by volume"),
        value(6, "tidal_volume", "40 mL"),
        value(6, "respiratory_rate", "15 /min"),
        value(11, "respiratory_rate", "16 /min"),
        value(16, "respiratory_rate", "20 /min"),
        value(30, "ventilation", "breathing by itself"),
    )

    assert [(one.at_min, one.ventilator_l_min) for one in found] == [
        (0.0, None),
        (6.0, pytest.approx(0.6)),
        (16.0, pytest.approx(0.8)),
        (30.0, None),
    ]


def test_a_machine_without_a_volume_is_said():
    found = running_read(
        seen(DIAL, FLOW, value(5, "ventilation", "ventilator, by pressure")), LATER
    )

    assert any("No volume of the ventilator is entered" in one for one in found.assumed)
    planned = running_read(
        seen(DIAL, FLOW, value(5, "ventilation", "ventilator, by pressure")),
        LATER,
        CaseGiven(ventilator_l_min=0.8),
    )
    assert planned.case.settings[-1].ventilator_l_min == 0.8


def test_drugs_that_were_entered_are_said_not_to_count():
    drug = word(5, "fentanyl", kind=EntryKind.DRUG, details={"dose": "2 ug/kg", "route": "IV"})
    found = running_read(seen(DIAL, FLOW, drug), LATER)

    assert found.case.subject.drugs is None
    assert any("do not move the time to wake" in one for one in found.assumed)
    assert running_of(case(DIAL, FLOW, word(0, "no other drug")), LATER).subject.drugs == ()


def test_one_of_a_group_has_its_own_levels_and_the_settings_of_the_bench():
    mine = value(10, "end_tidal_isoflurane", "1.6 %", animal="M1")
    other = value(10, "end_tidal_isoflurane", "1.2 %", animal="M2", id="other")
    found = running_of(case(DIAL, FLOW, mine, other), LATER, animal="M1")

    assert [one.end_tidal_fraction for one in found.readings] == [pytest.approx(0.016)]
    assert len(found.settings) == 1


def test_what_is_made_of_the_lines_is_what_the_estimator_takes():
    read = running_read(seen(DIAL, FLOW, value(20, "end_tidal_isoflurane", "1.4 %")), LATER)
    small = replace(read.case, draws=20)
    found = case_now(small, read.at_min(BEGAN + timedelta(minutes=30)))

    assert found.at_min == 30.0
    assert [one.read for one in found.readings] == [pytest.approx(1.4)]


@given(
    st.lists(st.tuples(st.integers(-10, 110), st.sampled_from(["dial", "flow_oxygen"])), max_size=8)
)
def test_whatever_the_order_the_settings_rise_in_time_and_never_repeat(changes):
    entries = [
        value(minute, key, f"{1 + place % 4} {UNITS[key]}", order=place + 2, id=f"e{place}")
        for place, (minute, key) in enumerate(changes)
    ]
    found = running_of(case(*entries), LATER)
    if found is None:
        assert len({key for _, key in changes}) < 2
        return

    minutes = [one.at_min for one in found.settings]
    assert minutes[0] == 0.0
    assert minutes == sorted(set(minutes))


def test_the_oxygen_that_ran_is_told_from_change_to_change():
    found = oxygen_given(
        seen(
            value(0, "flow_oxygen", "4 L/min"),
            value(10, "flow_oxygen", "1200 mL/min"),
            value(50, "flow_oxygen", "0 L/min"),
        ),
        LATER,
    )

    assert [(one[2], (one[1] - one[0]).total_seconds() / 60.0) for one in found] == [
        (4.0, 10.0),
        (pytest.approx(1.2), 40.0),
    ]
    assert oxygen_given(seen(value(0, "flow_oxygen", "4 L/min")), BEGAN) == ()


def test_movement_is_told_by_a_sign_and_by_an_event():
    found = moved_times(
        seen(
            value(5, "movement", "none"),
            value(15, "movement", "to a stimulus"),
            word(25, "moved"),
            word(26, "procedure began"),
        )
    )

    assert [(one - BEGAN).total_seconds() / 60.0 for one in found] == [15.0, 25.0]

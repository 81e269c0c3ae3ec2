"""Warnings: their order, statements and questions, and what returns after it was acknowledged."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import BEGAN
from ullage.answers import Verdict
from ullage.answers.record.intervals import Phase
from ullage.answers.record.warned import (
    Acknowledged,
    CaseWatched,
    Noted,
    Said,
    warning_order,
    warnings_now,
)
from ullage.core.errors import PlanUnreadable, RuleBroken


def at(minute):
    return BEGAN + timedelta(minutes=minute)


def yes(minute=1):
    return Said(is_so=True, at=at(minute))


def no(minute=1):
    return Said(is_so=False, at=at(minute))


#: A case in which everything that can be entered was entered, and is well.
CALM = CaseWatched(
    now=at(10),
    connected_at=at(0),
    relief_open=yes(),
    supply_read_at=at(1),
    supply_left_min=120.0,
    planned_left_min=60.0,
    second_source=yes(),
    is_non_rebreathing=True,
    is_coaxial=True,
    inner_tube=yes(),
    flow_l_min=2.0,
    needed_l_min=1.0,
    flow_set_at=at(1),
    inspired_co2_kpa=0.0,
    inspired_co2_at=at(9),
    temperature_at=at(8),
    warming=yes(),
    changed_at=at(-30),
    leak_tests=(at(-20),),
)


def told(case, words=()):
    return [(one.warning, one.cause) for one in warnings_now(case, words)]


def heard(warning, cause, minute, word="seen to"):
    return Acknowledged(warning=warning, cause=cause, word=word, at=at(minute), by="S. Vale")


def test_the_order_is_that_of_the_fact_base():
    # machine 4.4, warnings 1 to 11
    assert warning_order() == (
        *("relief_valve", "supply", "flow", "connected", "recovery", "temperature", "leak"),
        *("vaporizer", "absorbent", "scavenging", "check"),
    )


def test_a_case_in_which_all_is_well_is_quiet():
    assert warnings_now(CALM) == ()


def test_before_an_animal_is_connected_nothing_is_asked():
    assert warnings_now(CaseWatched(now=at(0))) == ()


def test_a_case_of_which_nothing_is_entered_asks_and_states_nothing():
    found = warnings_now(CaseWatched(now=at(30), connected_at=at(0)))

    assert [one.warning for one in found] == [
        *("relief_valve", "supply", "supply", "temperature", "temperature")
    ]
    assert all(one.is_question and one.says[-1] in "?." and "?" in one.says for one in found)
    assert {one.verdict for one in found} == {Verdict.NOT_YET}


@pytest.mark.parametrize(
    ("change", "expected", "is_question"),
    [
        ({"relief_open": None}, ("relief_valve", "connection"), True),
        ({"relief_open": no()}, ("relief_valve", "closed"), False),
        ({"leak_tests": (at(5),)}, ("relief_valve", "leak test"), True),
        ({"hand_breaths": (at(5),)}, ("relief_valve", "breath by hand"), True),
        ({"supply_left_min": 59.0}, ("supply", "ends early"), False),
        ({"supply_left_min": None}, ("supply", "not read"), True),
        ({"second_source": None}, ("supply", "second source"), True),
        ({"second_source": no()}, ("supply", "no second source"), False),
        ({"flow_l_min": 0.9}, ("flow", "below need"), False),
        ({"inner_tube": None}, ("flow", "inner tube"), True),
        ({"inner_tube": no()}, ("flow", "inner tube off"), False),
        ({"inspired_co2_kpa": 0.4}, ("flow", "breathed in"), False),
        ({"disconnected_at": at(9)}, ("connected", "disconnected"), False),
        ({"flushed_at": at(9)}, ("connected", "flush"), False),
        ({"temperature_at": None, "now": at(16)}, ("temperature", "not measured"), True),
        ({"warming": None}, ("temperature", "warming"), True),
        ({"warming": no()}, ("temperature", "not warmed"), False),
        ({"changed_at": at(-10)}, ("leak", "not tested"), True),
        ({"leak_tests": ()}, ("leak", "not tested"), True),
        ({"phase": Phase.RECOVERY}, ("recovery", "person"), True),
        ({"phase": Phase.RECOVERY, "person_stays": no()}, ("recovery", "nobody"), False),
    ],
)
def test_each_cause_warns_alone_and_asks_where_it_rests_on_no_entry(change, expected, is_question):
    found = warnings_now(replace(CALM, **change))

    assert [(one.warning, one.cause) for one in found] == [expected]
    assert found[0].is_question is is_question
    assert found[0].says.endswith("?") or not is_question or "?" in found[0].says
    assert found[0].todo.endswith(".")
    assert (found[0].verdict is Verdict.NOT_YET) is is_question


@pytest.mark.parametrize(
    "change",
    [
        {"is_non_rebreathing": False, "flow_l_min": 0.3},
        {"is_coaxial": False, "inner_tube": no()},
        {"needed_l_min": None},
        {"planned_left_min": None, "supply_left_min": 1.0},
        {"is_non_rebreathing": False, "flushed_at": at(9)},
        {"disconnected_at": at(-1)},
        {"phase": Phase.RECOVERY, "person_stays": yes()},
        {"supply_left_min": 60.0},
        {"flow_l_min": 1.0},
        {"temperature_at": None, "now": at(15)},
        {"hand_breaths": (at(-5),)},
    ],
)
def test_what_is_no_cause_does_not_warn(change):
    assert warnings_now(replace(CALM, **change)) == ()


def test_grave_ones_are_stops_and_come_first():
    case = replace(CALM, relief_open=no(), supply_left_min=10.0, flow_l_min=0.5, warming=no())
    found = warnings_now(case)

    assert [one.rank for one in found] == [1, 2, 3, 6]
    assert [one.verdict.value for one in found] == ["Stop", "Stop", "Stop", "Look again"]


def test_the_supply_says_how_much_too_early_it_ends():
    found = warnings_now(replace(CALM, supply_left_min=35.0))

    assert found[0].says == "Oxygen ends 25 min before the planned end: 35 min left."


def test_the_valve_is_asked_about_after_the_latest_of_all_moments():
    case = replace(CALM, leak_tests=(at(4),), hand_breaths=(at(3), at(6)))

    assert told(case) == [("relief_valve", "breath by hand")]
    assert told(replace(case, relief_open=yes(6))) == []
    assert told(replace(case, relief_open=yes(5))) == [("relief_valve", "breath by hand")]


@pytest.mark.parametrize(
    ("change", "warning", "cause", "again"),
    [
        ({"hand_breaths": (at(5),)}, "relief_valve", "breath by hand", {"hand_breaths": (at(9),)}),
        ({"supply_left_min": 5.0}, "supply", "ends early", {"supply_read_at": at(9)}),
        ({"flow_l_min": 0.5}, "flow", "below need", {"flow_set_at": at(9)}),
        (
            {"inspired_co2_kpa": 0.5, "inspired_co2_at": at(5)},
            "flow",
            "breathed in",
            {"inspired_co2_at": at(9)},
        ),
        ({"flushed_at": at(5)}, "connected", "flush", {"flushed_at": at(9)}),
    ],
)
def test_an_acknowledged_warning_returns_when_its_cause_recurs(change, warning, cause, again):
    case = replace(CALM, **change)
    words = [heard(warning, cause, 6)]

    assert told(case) == [(warning, cause)]
    assert told(case, words) == []
    assert told(replace(case, **again), words) == [(warning, cause)]


def test_who_stays_is_asked_once_a_recovery_and_again_in_the_next():
    back = replace(CALM, phase=Phase.RECOVERY, phase_at=at(8))
    words = [heard("recovery", "person", 9)]

    assert told(back) == [("recovery", "person")]
    assert told(back, words) == []
    assert told(replace(back, phase_at=at(10)), words) == [("recovery", "person")]


def test_a_word_given_before_the_cause_does_not_silence_it():
    case = replace(CALM, hand_breaths=(at(5),))

    assert told(case, [heard("relief_valve", "breath by hand", 4)]) != []


def test_a_word_on_one_cause_does_not_silence_another():
    case = replace(CALM, second_source=no(), supply_left_min=5.0)

    assert told(case, [heard("supply", "no second source", 9)]) == [("supply", "ends early")]


def test_the_last_of_several_words_counts():
    case = replace(CALM, hand_breaths=(at(5),))
    words = [heard("relief_valve", "breath by hand", minute) for minute in (8, 2)]

    assert told(case, words) == []


@pytest.mark.parametrize("word", ["", "  ", "\n"])
def test_a_warning_is_acknowledged_with_a_word(word):
    with pytest.raises(RuleBroken, match="Say a word"):
        heard("supply", "ends early", 5, word)


def test_what_other_parts_know_is_warned_of_in_its_place():
    level = Noted(
        warning="vaporizer",
        cause="empty",
        says="The vaporizer was entered as empty.",
        todo="Fill it.",
        at=at(5),
    )
    check = Noted(
        warning="check",
        cause="none today",
        says="Was the machine checked today?",
        todo="Check it.",
        at=at(0),
        is_entered=False,
    )
    found = warnings_now(replace(CALM, noted=(check, level), warming=no()))

    assert [one.rank for one in found] == [6, 8, 11]
    assert [one.is_question for one in found] == [False, False, True]
    assert told(replace(CALM, noted=(level,)), [heard("vaporizer", "empty", 6)]) == []


def test_a_warning_that_there_is_not_is_refused():
    odd = Noted(warning="moon", cause="full", says="It is.", todo="Look.", at=at(0))

    with pytest.raises(RuleBroken, match="'moon' is no warning; they are relief_valve"):
        warnings_now(replace(CALM, noted=(odd,)))


def test_each_warning_says_that_its_order_is_recalled():
    found = warnings_now(replace(CALM, relief_open=None))

    assert found[0].where_from[0].how_known == "memory"
    assert found[0].where_from[0].text.startswith("Machine 4.4")


def test_a_time_without_a_zone_is_refused():
    naive = BEGAN.replace(tzinfo=None)
    for change in (
        {"now": naive},
        {"flushed_at": naive},
        {"temperature_at": naive},
        {"leak_tests": (at(1), naive)},
        {"hand_breaths": (naive,)},
    ):
        with pytest.raises(PlanUnreadable, match="needs its zone"):
            replace(CALM, **change)
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        Said(is_so=True, at=naive)
    with pytest.raises(PlanUnreadable, match="needs its zone"):
        Acknowledged(warning="supply", cause="ends early", word="seen", at=naive, by="S. Vale")


@given(st.lists(st.integers(0, 60), max_size=6), st.lists(st.integers(0, 60), max_size=6))
def test_the_valve_is_quiet_only_with_a_word_after_the_last_breath_by_hand(breaths, words):
    case = replace(
        CALM,
        now=at(61),
        temperature_at=at(60),
        hand_breaths=tuple(at(one) for one in breaths),
        relief_open=yes(max(words)) if words else None,
    )
    quiet = bool(words) and max(words) >= max([0, *breaths])

    assert ("relief_valve" not in [one for one, _ in told(case)]) == quiet

"""Everything that would be unsafe in a planned case, and what cannot be, in one table each."""

from dataclasses import replace

import pytest

from tests.answers.case_paper import CAT, HIGH, MOUSE, PIG, care, told, verdict_of, with_phases
from ullage.answers import Verdict, case_plan
from ullage.answers.casefile import case_from_toml
from ullage.answers.plan import Chamber, Phase, Ventilation
from ullage.core.errors import PlanUnreadable, RuleBroken, UllageError, UnknownReference

LOOK, STOP = Verdict.LOOK_AGAIN, Verdict.STOP

LAUGHING = with_phases(PIG, ("induction", 10, 2, 2), ("procedure", 30, 1, 1))
SMALL_CIRCLE = replace(CAT, system="circle")
AIRED = replace(CAT, phases=(Phase(name="procedure", minutes=30, oxygen_l_min=0.2, air_l_min=1.8),))
LOW = with_phases(PIG, ("induction", 10, 2, 0), ("procedure", 30, 0.1, 0))
WEAK = with_phases(PIG, ("induction", 10, 0.5, 0), ("procedure", 30, 0.5, 0))
THIN = with_phases(PIG, ("induction", 10, 2, 0), ("procedure", 30, 0.16, 0.5), ("waking", 10, 2, 0))

#: What is unsafe, the case, what is known of it, and what it comes to.
UNSAFE = [
    ("oxygen after nitrous oxide", LAUGHING, {}, STOP),
    ("cautery", MOUSE, {"cautery": True}, STOP),
    ("cautery", MOUSE, {"cautery": None}, LOOK),
    ("warmth", CAT, {"warmed": False}, LOOK),
    ("warmth", MOUSE, {"warmed": None}, LOOK),
    ("inspired carbon dioxide", SMALL_CIRCLE, {"co2_measured": False}, STOP),
    ("inspired carbon dioxide", CAT, {"co2_measured": None}, LOOK),
    ("flow below need", with_phases(CAT, ("procedure", 30, 0.3, 0)), {}, LOOK),
    ("oxygen below need", LOW, {}, STOP),
    ("oxygen below 30 %", AIRED, {}, LOOK),
    ("hypoxic mixture", THIN, {}, STOP),
    ("dial beyond the device", WEAK, {}, LOOK),
    ("dead space", CAT, {"equipment_l": 0.005}, LOOK),
    ("dead space", CAT, {"equipment_l": 0.015}, STOP),
    ("vaporizer outside its flow range", with_phases(MOUSE, ("scan", 30, 0.2, 0)), {}, LOOK),
    ("vaporizer outside its flow range", with_phases(PIG, ("scan", 30, 12, 0)), {}, LOOK),
    ("system", replace(MOUSE, system="circle"), {}, STOP),
    ("barometric pressure", CAT, {"pressure_given": False}, LOOK),
    ("opening the chamber", replace(MOUSE, chamber=Chamber(volume_l=4.0)), {}, LOOK),
    ("drug without a study", CAT, {"drugs": ("medetomidine",)}, LOOK),
    (
        "MAC of another species",
        replace(CAT, species="guinea pig", weight_kg=0.8),
        {"agent": "desflurane"},
        LOOK,
    ),
]


@pytest.mark.parametrize(("name", "case", "more", "verdict"), UNSAFE)
def test_what_is_unsafe_is_told_with_what_to_do(name, case, more, verdict):
    plan = case_plan(told(case, **more), draws=20)
    one = care(plan, name)

    assert one.verdict is verdict
    assert one.todo.endswith(".")
    assert plan.verdict in {verdict, STOP}


@pytest.mark.parametrize(("case", "more"), [(CAT, {}), (PIG, {}), (PIG, {"place": HIGH})])
def test_nothing_is_told_where_all_is_well(case, more):
    assert case_plan(told(case, **more), draws=20).cares == ()


@pytest.mark.parametrize("name", ["cautery", "oxygen after nitrous oxide"])
def test_what_is_common_practice_says_so(name):
    case, more = (MOUSE, {"cautery": True}) if name == "cautery" else (LAUGHING, {})

    assert care(case_plan(told(case, **more), draws=20), name).where_from.how_known == "common"


#: What cannot be, and the words of the refusal.
CANNOT = [
    (replace(MOUSE, weight_kg=25.0), {}, "25 kg.*Did you mean 25 g"),
    (replace(PIG, weight_kg=0.03), {}, "30 g.*Did you mean 30 kg"),
    (replace(CAT, weight_kg=None), {}, "needs a species and a weight"),
    (CAT, {"vaporizer_for": "halothane"}, "made for halothane, the case asks for isoflurane"),
    (CAT, {"dial_fraction": 0.06}, "dial of 6 % is beyond the end of the vaporizer, 5 %"),
    (with_phases(MOUSE, ("scan", 30, 0.0, 0.0)), {}, "No fresh gas flows in scan"),
    (with_phases(PIG, ("scan", 30, 0.2, 1.8)), {}, "10 % oxygen beside nitrous oxide"),
    (replace(CAT, system="bagpipe"), {}, "No breathing system 'bagpipe'"),
    (
        replace(PIG, ventilation=Ventilation(minute_volume_l_min=0.0)),
        {},
        "ventilator at 0 L/min brings less to the lung",
    ),
    (replace(CAT, species="unicorn"), {}, "unicorn"),
    (replace(CAT, species="cockatoo", weight_kg=0.5), {"agent": "desflurane"}, "Set the site's"),
    (CAT, {"agent": "ether"}, "in no vaporizer"),
]


@pytest.mark.parametrize(("case", "more", "words"), CANNOT)
def test_what_cannot_be_is_refused_in_words(case, more, words):
    with pytest.raises(UllageError, match=words):
        case_plan(told(case, **more))


def test_a_vaporizer_that_gives_more_than_there_is_is_refused():
    with pytest.raises(UllageError, match="vaporizer_end_fraction is 5"):
        told(vaporizer_end_fraction=5.0)


def test_oxygen_that_is_used_up_ends_at_nothing():
    starved = with_phases(PIG, ("induction", 10, 0.05, 0), ("procedure", 60, 0.05, 0))
    plan = case_plan(told(starved), draws=20)

    assert plan.verdict is STOP
    assert min(one.inspired_oxygen[0] for one in plan.levels) == 0.0


def test_a_borrowed_value_names_what_is_missing_and_whose_it_is():
    given = told(replace(CAT, species="guinea pig", weight_kg=0.8), agent="desflurane")
    said = care(case_plan(given, draws=20), "MAC of another species").sentence

    assert said.startswith(
        "No MAC of desflurane in the guinea pig is in the tables; that of the ham"
    )


def test_the_mac_of_the_site_is_nobody_elses():
    case = replace(CAT, species="guinea pig", weight_kg=0.8)
    plan = case_plan(told(case, agent="desflurane", mac_fraction=0.07), draws=20)

    assert verdict_of(plan, "MAC of another species") is None


def test_a_species_whose_waking_nobody_studied_gets_no_time():
    case = replace(CAT, species="hamster", weight_kg=0.12)
    answer = case_plan(told(case, agent="enflurane"), draws=20).answers["regain"]

    assert answer.value is None
    assert "no time is invented" in answer.settles


FILE = """
[case]
name = "Tansy"
machine = "Wren"
species = "cat"
weight = "{weight}"
start = "10:00"
duration = "45 min"
oxygen = "{oxygen}"
[plan]
agent = "{agent}"
drugs = "none"
target_mac = "{target}"
"""


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("weight", "nan kg"),
        ("weight", "-4 kg"),
        ("weight", "4 L"),
        ("weight", "inf kg"),
        ("weight", ""),
        ("oxygen", "nan L/min"),
        ("oxygen", "1e12 L/min"),
        ("target", "0"),
        ("target", "1e400"),
        ("target", "much"),
    ],
)
def test_a_file_that_cannot_be_meant_is_refused_with_its_line(key, value):
    given = {"weight": "4 kg", "oxygen": "1 L/min", "agent": "isoflurane", "target": "1.2"}
    with pytest.raises(PlanUnreadable, match=r"^Line \d+"):
        case_from_toml(FILE.format(**{**given, key: value}))


def test_a_file_with_an_agent_that_is_none_is_refused_when_planned():
    given = case_from_toml(FILE.format(weight="4 kg", oxygen="1 L/min", agent="gin", target="1.2"))

    with pytest.raises(UnknownReference, match="'gin' is in no vaporizer"):
        case_plan(given)


def test_a_case_that_wakes_before_it_sleeps_is_refused():
    with pytest.raises(RuleBroken, match="begins with waking"):
        case_plan(told(with_phases(CAT, ("waking", 10, 1, 0), ("procedure", 30, 1, 0))))

"""`ullage compute`: lists, shows, runs; words, units and refusals in one line."""

import json

import pytest
from click.testing import CliRunner

from ullage.answers import CAUTION_LINE
from ullage.answers.formulas import formulas
from ullage.cli.house import root


def run(*words):
    return CliRunner().invoke(root, ["compute", *words])


def test_without_a_name_it_lists_every_formula_with_unit_and_source():
    said = run().output

    for one in formulas():
        assert f"  {one.name} [{one.unit}]" in said
    assert "from supply_S63" in said
    assert said.rstrip().endswith(CAUTION_LINE[-20:])


@pytest.mark.parametrize(
    "words", [(), ("contents_l",), ("kelvin", "celsius_degrees=20"), ("kept_back_l",)]
)
def test_no_line_is_wider_than_eighty_columns(words):
    result = run(*words)

    assert result.exit_code == 0
    assert max(len(line) for line in result.output.splitlines()) <= 80


def test_a_name_shows_what_it_takes_and_how_to_call_it():
    said = run("contents_l").output

    assert "contents_l [L]" in said
    assert "water_capacity_l [L]" in said
    assert "One of: oxygen, air, nitrogen" in said
    assert "condition, 70F when left out" in said
    assert "Example: ullage compute contents_l gas=oxygen" in said


def test_parameters_with_units_run_it():
    said = run("pressure_decay_leak_l_min", "volume_l=20 mL", "fall_kpa=100 psi", "elapsed_min=5")

    assert said.exit_code == 0
    assert "fall_kpa = 689.4757293 kPa" in said.output
    assert "Assumed" in said.output


@pytest.mark.parametrize(
    ("words", "mark"),
    [
        (("most_leak_share", "limit_fraction=23.5 %"), "(computed)"),
        (("adiabatic_temperature_k", "heat_capacity_ratio=1.395", "start_temperature_k=70 F",
          "start_kpa=1 atm", "end_kpa=140 bar"), "(from memory, not confirmed)"),
    ],
)  # fmt: skip
def test_how_a_formula_is_known_stands_beside_its_source(words, mark):
    said = " ".join(run(*words).output.split())

    assert mark in said.partition("Where from")[2]


def test_json_prints_the_answer_by_name():
    said = run("kelvin", "celsius_degrees=70 °F", "--json").output
    answer = json.loads(said)

    assert answer["value"] == pytest.approx(294.2611, abs=1e-4)
    assert answer["unit"] == "K"
    assert answer["verdict"] is None


def test_json_lists_and_shows_the_formulas_too():
    listed = json.loads(run("--json").output)
    shown = json.loads(run("litres_per_kg", "--json").output)

    assert [one["name"] for one in listed] == [one.name for one in formulas()]
    assert shown["parameters"][1]["words"] == ["70F", "15C", "0C"]
    assert shown["example"].startswith("ullage compute litres_per_kg")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("content_l",), "No formula 'content_l'. Similar: "),
        (("kelvin", "celsius_degrees"), "is no parameter; write name=value"),
        (("kelvin", "celsius_degrees=warm"), "'warm' is not a temperature"),
        (("endurance_min", "usable_gas_l=600", "flow_l_min=0"), "flow_l_min is 0"),
    ],
)
def test_an_error_is_one_line_that_says_what_to_do(words, sentence):
    result = run(*words)

    assert result.exit_code == 1
    assert sentence in result.output
    assert result.output.count("\n") == 1


def test_a_question_is_answered_with_verdict_sides_and_what_to_do():
    said = run(
        "carbon_dioxide", "animal=cat, 4 kg", "system=T-piece", "breathed=fresh_gas_l_min: 0.6"
    ).output

    assert "Look again: Expect about" in said
    assert "Side by side" in said
    assert "(computed, used here)" in said
    assert "Raise the fresh gas" in said


def test_a_question_without_a_number_says_what_would_settle_it():
    said = run("absorbent_due", "hours_h=3").output

    assert "What would settle it" in said
    assert "not looked at (" in said

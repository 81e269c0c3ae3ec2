"""`ullage lasts`: what it prints, what it refuses, and how little it loads."""

import json
import re
import subprocess
import sys

import pytest
from click.testing import CliRunner

from ullage.answers import CAUTION_LINE
from ullage.cli.house import root
from ullage.cli.quantity import written_unit

SHOWN = ("--size", "E", "--gauge", "1000 psi", "--flow", "1 L/min")
WEIGHED = ("--size", "E", "--gas", "nitrous oxide", "--flow", "2 L/min")


def run(*words):
    return CliRunner().invoke(root, ["lasts", *words])


def test_half_an_e_prints_its_minutes_its_hours_and_its_band():
    # 4.76 L x (72.26 - 14.80) L/L at 20 °C, supply 2.2: 273.5 min.
    said = run(*SHOWN).output

    assert "273 min, about 4 h 33 min" in said
    # Four million draws of the same errors give 228.1 to 334.3 min.
    low, high = map(int, re.search(r"likely (\d+) to (\d+) min", said).groups())
    assert (low, high) == (pytest.approx(228.1, abs=1.0), pytest.approx(334.3, abs=1.0))
    assert "20 ± 5 °C (assumed)" in said
    assert "Common linear rule, 0.28 L/psi" in said
    assert "70 °F" in said


def test_the_words_come_before_any_colour_and_the_caution_comes_last():
    said = run(*SHOWN).output

    assert "Fine. Oxygen lasts" in said
    assert "\x1b" not in said
    assert " ".join(said.split()).endswith(CAUTION_LINE)


@pytest.mark.parametrize(
    "words",
    [
        SHOWN,
        ("--water", "4.7 L", "--gauge", "71 bar", "--flow", "1.7 L/min", "--temp", "20 C"),
        (*WEIGHED, "--gauge", "718 psi"),
        (*WEIGHED, "--weight", "8.1 kg", "--tare", "6.2 kg"),
        (*SHOWN, "--drive", "6 L/min", "--leak", "50 mL/min", "--elevation", "1900 m"),
    ],
)
def test_no_line_is_wider_than_eighty_columns(words):
    result = run(*words)

    assert result.exit_code == 0
    assert max(len(line) for line in result.output.splitlines()) <= 80


def test_json_holds_the_fields_of_the_answer_by_name():
    answer = json.loads(run(*SHOWN, "--json").output)

    assert answer["unit"] == "min"
    assert answer["value"] == pytest.approx(273.5, abs=0.1)
    assert answer["low"] < answer["value"] < answer["high"]
    assert answer["verdict"] == "Fine"
    assert {step["result"] for step in answer["steps"]} >= {"344 L", "273 L"}


def test_a_liquefied_gas_by_its_gauge_prints_a_range_and_the_question():
    result = run(*WEIGHED, "--gauge", "718 psi")
    answer = json.loads(run(*WEIGHED, "--gauge", "718 psi", "--json").output)

    assert "The gauge cannot tell: weigh it." in result.output
    assert "What does it weigh, and what is its tare?" in " ".join(result.output.split())
    assert answer["value"] is None
    assert answer["verdict"] == "Look again"


def test_by_weight_a_liquefied_gas_is_answered():
    answer = json.loads(run(*WEIGHED, "--weight", "8.915 kg", "--tare", "6 kg", "--json").output)

    # 2.915 kg x 545.5 L/kg = 1590 L (supply 2.5), less 76 L at 200 psi, at 2 L/min.
    assert answer["value"] == pytest.approx((1590 - 76) / 2, rel=0.01)


def test_what_is_given_changes_the_answer():
    plain = json.loads(run(*SHOWN, "--json").output)
    leaking = json.loads(run(*SHOWN, "--leak", "100 mL/min", "--json").output)
    keeping = json.loads(run(*SHOWN, "--reserve", "500 psi", "--json").output)
    precise = json.loads(run(*SHOWN, "--gauge-error", "1 %", "--temp", "68 F", "--json").output)

    assert leaking["value"] == pytest.approx(plain["value"] / 1.1)
    assert keeping["value"] < plain["value"] * 0.7
    assert precise["value"] == pytest.approx(plain["value"], rel=1e-6)
    assert precise["high"] - precise["low"] < plain["high"] - plain["low"]


def test_a_region_chooses_among_two_cylinders_of_one_letter():
    us, uk = (
        json.loads(
            run(
                "--size", "G", "--region", one, "--gauge", "1000 psi", "--flow", "1 L/min", "--json"
            ).output
        )
        for one in ("US", "UK")
    )

    # 33 L against 23.6 L of water (supply 1.1, 1.2).
    assert us["value"] / uk["value"] == pytest.approx(33 / 23.6)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--size", "G", "--gauge", "1000 psi", "--flow", "1 L/min"), "may mean G (US)"),
        (("--size", "E", "--gauge", "1000", "--flow", "1 L/min"), "needs its unit"),
        (("--size", "E", "--gauge", "-5 psi", "--flow", "1 L/min"), "a gauge reads 0 or more"),
        (("--size", "E", "--gauge", "nan psi", "--flow", "1 L/min"), "is not a pressure"),
        (("--size", "E", "--gauge", "2900 bar", "--flow", "1 L/min"), "If it was psi"),
        (("--size", "E", "--gauge", "3100 psi", "--flow", "1 L/min"), "past the end of its scale"),
        (("--size", "E", "--gauge", "1000 psi", "--flow", "0 L/min"), "flow_l_min is 0"),
        (("--size", "E", "--gauge", "1000 psi", "--flow", "1 furlong"), "is not a unit of flow"),
        (("--size", "E", "--gauge", "1000 psi"), 'such as --flow "1 L/min"'),
        (("--size", "E", "--flow", "1 L/min"), "Say what you read"),
        (("--gauge", "1000 psi", "--flow", "1 L/min"), "Say which cylinder"),
        (("--size", "Q", "--gauge", "1000 psi", "--flow", "1 L/min"), "No cylinder size 'Q'"),
        ((*SHOWN, "--reserve", "much"), "'much' is no reserve"),
        ((*SHOWN, "--sise", "E"), "No such option"),
        ((*SHOWN, "--gas", "xenon"), "xenon"),
    ],
)
def test_what_cannot_be_is_one_line_that_says_what_to_do(words, sentence):
    result = run(*words)

    assert result.exit_code != 0
    assert result.output.startswith("Error: ")
    assert result.output.count("\n") == 1
    assert sentence in result.output


def test_the_unit_somebody_wrote_is_kept():
    assert written_unit("1,900 psig", "pressure") == "psi"
    assert written_unit("71", "pressure") == "kPa"
    assert run("--size", "E", "--gauge", "6895 kPa", "--flow", "1 L/min").output.count("kPa") > 2


LOADED = """
import sys
from click.testing import CliRunner
from ullage.cli.house import root
result = CliRunner().invoke(root, ["lasts", *sys.argv[1:]])
assert result.exit_code == 0, result.output
print(*sorted({"numpy", "scipy", "CoolProp", "django"} & set(sys.modules)))
"""


@pytest.mark.parametrize("words", [SHOWN, (*WEIGHED, "--weight", "8.1 kg", "--tare", "6.2 kg")])
def test_a_full_run_loads_nothing_heavy(words):
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *words], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == ""


def test_help_shows_an_example():
    assert "Example: ullage lasts" in run("--help").output

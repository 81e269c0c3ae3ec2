"""A case file: the keys of a day file's case, and what is aimed at."""

from pathlib import Path

import pytest

from ullage.answers.casefile import case_from_toml
from ullage.core.errors import PlanUnreadable

EXAMPLES = Path(__file__).parents[2] / "examples"

CASE = """
[case]
name = "Tansy"
machine = "Wren"
species = "cat"
weight = "4 kg"
system = "T-piece"
start = "10:30"
duration = "45 min"
oxygen = "1 L/min"
"""
PLAN = """
[plan]
agent = "Isoflurane"
"""


def read(more="", day="", case=CASE):
    return case_from_toml(f"{day}{case}{PLAN}{more}")


def test_what_nobody_said_is_not_known():
    given = read()

    assert given.agent == "isoflurane"
    assert (given.drugs, given.target_mac, given.dial_fraction) == (None, None, None)
    assert (given.co2_measured, given.warmed, given.cautery) == (None, None, None)
    assert not given.pressure_given
    assert not given.weight_is_right


def test_every_key_is_read_in_its_unit():
    given = read(
        "target_mac = '1.3'\ndrugs = ['alfentanil']\nreach = '5 min'\nvaporizer = 'isoflurane'\n"
        "dial_end = '5 %'\nmac = '1.6 %'\ndead_space = '4 mL'\nabsorbent = '1.2 kg'\n"
        "circle_from = '5 kg'\ninspired_co2_measured = true\nwarmed = true\ncautery = false\n"
        "weight_confirmed = true\n"
    )

    assert (given.target_mac, given.reach_min) == (1.3, 5.0)
    assert given.drugs == ("alfentanil",)
    assert given.vaporizer_end_fraction == pytest.approx(0.05)
    assert given.mac_fraction == pytest.approx(0.016)
    assert given.equipment_l == pytest.approx(0.004)
    assert (given.absorbent_kg, given.circle_from_kg) == (1.2, 5.0)
    assert (given.co2_measured, given.warmed, given.cautery) == (True, True, False)
    assert given.weight_is_right


@pytest.mark.parametrize(
    ("written", "drugs"),
    [("'none'", ()), ("[]", ()), ("'ketamine'", ("ketamine",)), ("['None']", ())],
)
def test_no_drugs_is_an_answer_too(written, drugs):
    assert read(f"drugs = {written}\n").drugs == drugs


def test_a_fixed_dial_stands_beside_or_in_place_of_a_target():
    assert read("dial = '2 %'\n").dial_fraction == pytest.approx(0.02)


def test_elevation_or_barometer_is_the_air_pressure_of_the_place():
    high = read(day="[day]\nelevation = '1900 m'\n")
    read_off = read(day="[day]\nbarometer = '80 kPa'\n")

    assert high.pressure_given
    assert high.place.barometric_kpa == pytest.approx(80.5, abs=0.1)
    assert read_off.place.barometric_kpa == 80.0


def test_flows_left_out_are_not_flows_of_nothing():
    bare = CASE.replace('oxygen = "1 L/min"\n', "")
    phases = CASE.replace(
        'duration = "45 min"\noxygen = "1 L/min"\n',
        "phases = [{ name = 'procedure', minutes = '45 min', oxygen = '1 L/min' }]\n",
    )

    assert not read(case=bare).flows_given
    assert read(case=CASE.replace("1 L/min", "0 L/min")).flows_given
    assert read(case=phases).flows_given


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ("target_mac = '0'\n", "Line 14, target_mac: '0' must be above 0"),
        ("target_mac = 1.2\n", "must be text with its unit"),
        ("target = '1'\n", "'target' is not a key here; the nearest is 'target_mac'"),
        ("dial = '80 %'\n", "Line 14, dial: '80 %' must be 0 or more and at most 50 %"),
        ("warmed = 'perhaps'\n", "must be true, false or unknown"),
        ("drugs = 3\n", "must be a list of names"),
    ],
)
def test_what_cannot_be_taken_as_written_is_refused_with_its_line(more, sentence):
    with pytest.raises(PlanUnreadable, match=sentence):
        read(more)


def test_a_file_without_a_case_is_refused():
    with pytest.raises(PlanUnreadable, match="has no \\[case\\]"):
        case_from_toml(PLAN)


def test_a_plan_without_an_agent_is_refused():
    with pytest.raises(PlanUnreadable, match="needs 'agent'"):
        case_from_toml(f"{CASE}[plan]\ndrugs = 'none'\n")


@pytest.mark.parametrize("name", ["mouse", "cat", "pig"])
def test_the_examples_can_be_read(name):
    given = case_from_toml((EXAMPLES / f"case_{name}.toml").read_text(encoding="utf-8"))

    assert given.case.species == name
    assert given.pressure_given
    assert given.drugs is not None

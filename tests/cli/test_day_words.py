"""`ullage day`: each kind of source in its row and words, refusals by line, the paper copy."""

import json
import re

import pytest
from click.testing import CliRunner

from ullage.cli.house import root

HEAD = """\
[day]
name = "Fennel Lane"

[reserve]
pressure = "14 bar"

[[machines]]
name = "Wren"
flow_error = "5 %"
"""

CASE = """\
[[cases]]
name = "Clover"
machine = "Wren"
start = "10:30"
duration = "110 min"
oxygen = "1.7 L/min"
checked = true
"""

ALDER = '[[sources]]\nname = "Alder"\nfeeds = "Wren"\nsize = "E"\nread = "08:00"\n'
WALL = '[[sources]]\nname = "Wall"\nkind = "pipeline"\nfeeds = "Wren"\n'
ROWAN = '[[sources]]\nname = "Rowan"\nreserve_of = "Wall"\nsize = "E"\ngauge = "130 bar"\n'
BOX = '[[sources]]\nname = "Box"\nkind = "concentrator"\nfeeds = "Wren"\nflow_limit = "5 L/min"\n'
FROST = '[[sources]]\nname = "Frost"\nkind = "liquid"\nfeeds = "Wren"\nliquid = "20 L"\n'
BLUE = (
    '[[sources]]\nname = "Juniper"\ngas = "nitrous oxide"\nfeeds = "Wren"\nwater = "4.7 L"\n'
    'weight = "7.9 kg"\ntare = "6.2 kg"\n'
)
BANKS = (
    '[[sources]]\nname = "Birches"\nkind = "manifold"\nfeeds = "Wren"\n'
    '[sources.duty]\nwater = "47.2 L"\ngauge = "40 bar"\ncount = 2\n'
    '[sources.standby]\nwater = "47.2 L"\ngauge = "130 bar"\ncount = 2\n'
)


@pytest.fixture
def told(tmp_path):
    def run(*parts, options=()):
        file = tmp_path / "plan.toml"
        file.write_text("\n".join((HEAD, *parts)), encoding="utf-8")
        return CliRunner().invoke(root, ["day", str(file), "--draws", "256", *options])

    return run


def alder(bar):
    return f'{ALDER}gauge = "{bar} bar"\n'


@pytest.mark.parametrize(
    ("source", "until"),
    [
        (alder(130), "lasts today"),
        (WALL, "a pipeline"),
        (BOX, "a concentrator"),
        (FROST, "lasts today"),
        (BANKS, "lasts today"),
    ],
)
def test_each_kind_of_source_says_until_when_in_its_row(told, source, until):
    assert told(source, CASE).output.splitlines()[4][46:] == until


def test_a_cylinder_that_ends_today_says_when_and_its_band(told):
    row = told(alder(40), CASE).output.splitlines()[4]
    best, early, late = re.fullmatch(r"(\S+) \((\S+) to (\S+)\)", row[46:]).groups()

    # 4.76 L from 40 to 14 bar at 20 °C are 127 L (paper), 75 min at 1.7 L/min from 10:30.
    assert best == "11:45"
    assert early < best < late


def test_a_reserve_says_what_it_stands_behind_and_is_told_once(told):
    said = told(WALL, ROWAN, CASE).output
    words = " ".join(said.split())

    assert "behind Wall" in said.splitlines()[5]
    assert words.count("Rowan lasts") == 2  # behind the pipeline, and of itself
    assert "Rowan holds about" in words


@pytest.mark.parametrize(
    ("bar", "verdict"), [(130, "Fine"), (60, "Look again"), (40, "Stop"), (10, "Stop")]
)
def test_the_first_line_is_the_gravest_verdict_of_the_day(told, bar, verdict):
    assert told(alder(bar), CASE).output.splitlines()[0] == f"Fennel Lane: {verdict}"


def test_what_is_to_be_done_is_said_once(told):
    words = " ".join(told(alder(40), CASE).output.split())

    assert words.count("Fit a full one before Clover.") == 1
    assert "Alder must be changed by" in words


def test_a_manifold_names_its_banks(told):
    words = " ".join(told(BANKS, CASE.replace("110 min", "20 h")).output.split())

    assert "The duty bank of Birches changes over by itself from" in words


def test_a_weighed_gas_beside_the_oxygen_has_its_own_row(told):
    mixed = CASE + 'nitrous_oxide = "1 L/min"\n'
    said = told(alder(130), BLUE, mixed).output

    assert "Juniper (nitrous oxide, feeds Wren)" in said
    assert "Weigh Juniper again by" in " ".join(said.split())


def test_a_long_name_is_cut_in_its_row_and_whole_below(told):
    name = "The tall cylinder beside the window"
    said = told(alder(130).replace("Alder", name), CASE).output

    assert "The tall cylinder …" in said.splitlines()[4]
    assert f"{name} (oxygen, feeds Wren)" in said


@pytest.mark.parametrize("source", [alder(71), WALL + ROWAN, BOX, FROST, BANKS])
def test_every_line_fits_the_screen(told, source):
    result = told(source, CASE)

    assert result.exit_code == 0, result.output
    assert max(map(len, result.output.splitlines())) <= 80


def test_json_holds_every_answer_of_every_source(told):
    found = json.loads(told(WALL, ROWAN, CASE, options=["--json"]).output)
    wall, rowan = found["sources"]

    assert (found["name"], found["draws"]) == ("Fennel Lane", 256)
    assert (wall["kind"], rowan["reserve_of"]) == ("pipeline", "Wall")
    assert wall["if_it_fails"] == rowan["if_it_fails"]
    assert rowan["left"]["value"] > 500


@pytest.mark.parametrize("seed", ["-1", "-99"])
def test_a_seed_below_nothing_is_one_line(told, seed):
    result = told(alder(71), CASE, options=["--seed", seed])

    assert result.exit_code == 1
    assert result.output.startswith("Error: seed is -")
    assert result.output.count("\n") == 1


@pytest.mark.parametrize("draws", ["0", "-5", "99999999"])
def test_draws_beyond_reason_are_one_line(told, draws):
    result = told(alder(71), CASE, options=["--draws", draws])

    assert result.exit_code == 1
    assert "draws is" in result.output
    assert result.output.count("\n") == 1


REFUSED = [
    (alder(250), CASE, "gauge: The gauge reads 250 bar; no more than"),
    (ALDER + 'gauge = "-3 bar"\n', CASE, "gauge: '-3 bar' must be 0 or more"),
    (ALDER + 'gauge = "71 L"\n', CASE, "gauge: 'L' is not a unit of pressure"),
    (ALDER, CASE, "say what the gauge reads"),
    (alder(71), CASE.replace("10:30", "25:30"), "start: '25:30' must be a time of day"),
    (alder(71), CASE.replace("110 min", "0 min"), "duration: '0 min' must be above 0"),
    (alder(71), CASE.replace("1.7 L/min", "900 L/min"), "oxygen: '900 L/min' must be"),
    (alder(71), CASE.replace('"Wren"', '"Heron"'), "machine: 'Heron' is no machine"),
    (FROST.replace('liquid = "20 L"\n', ""), CASE, "Frost is liquid oxygen; say how much"),
    (BOX.replace("5 L/min", "0 L/min"), CASE, "flow_limit: '0 L/min' must be above 0"),
    (ROWAN, CASE, "reserve_of: 'Wall' is no source of this file"),
    (alder(71) + 'reserve_of = "Alder"\n', CASE, "Alder stands behind itself"),
    (BLUE.replace('tare = "6.2 kg"\n', ""), CASE, "tare: a weight needs the tare"),
    (BLUE.replace("7.9 kg", "5 kg"), CASE, "weight: The cylinder weighs 5 kg, less than its tare"),
    (alder(71) + 'leak = "0.1 L/min"\nleak_band = "1 L/min"\n', CASE, "leak_band: "),
    (alder(71) + 'gauge_error = "80 %"\n', CASE, "gauge_error: '80 %' must be"),
    (alder(71) + 'scale = "60 bar"\n', CASE, "past the end of its scale"),
]


@pytest.mark.parametrize(("source", "case", "said"), REFUSED)
def test_what_cannot_be_names_its_line_in_one_line(told, source, case, said):
    result = told(source, case)

    assert result.exit_code == 1, result.output
    assert result.output.startswith("Error: Line ")
    assert result.output.count("\n") == 1
    assert said in result.output


def test_what_several_cylinders_ask_alike_is_said_once(told):
    six = '[[sources]]\nname = "Row"\nkind = "sequence"\nfeeds = "Wren"\n' + (
        '[[sources.cylinders]]\nwater = "1 L"\ngauge = "71 bar"\n' * 6
    )
    sorrel = CASE.replace("Clover", "Sorrel").replace("10:30", "13:30")
    words = " ".join(told(six, CASE, sorrel).output.split())

    # Each gives about 58 L: three are used up inside Clover (187 L), the last ones inside Sorrel.
    assert words.count("of Row must be changed by") == 6
    assert words.count("Fit a full one before Clover.") == 1
    assert words.count("Fit a full one before Sorrel.") == 1

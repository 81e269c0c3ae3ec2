"""`ullage day`: the table, the words, JSON, PDF, and every refusal in one line."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from ullage.answers import CAUTION_LINE
from ullage.cli.house import root

EXAMPLE = Path(__file__).parents[2] / "examples" / "day.toml"


def run(*words):
    return CliRunner().invoke(root, ["day", *map(str, words)])


@pytest.fixture(scope="module")
def said():
    return run(EXAMPLE).output


def test_each_source_has_a_row_with_its_verdict_first(said):
    rows = {line[:20].strip(): line[20:35].strip() for line in said.splitlines()[4:12]}

    assert rows["Alder"] == "Look again"
    assert rows["Theatre 2 outlet"] == "Fine"
    assert rows["Medlars"] == "Look again"


def test_what_is_to_be_done_is_said_with_its_reason(said):
    words = " ".join(said.split())

    assert "reaches what is kept back at 14:1" in words
    assert "inside Sorrel. Fit a full one before Sorrel." in words
    assert "Rowan lasts" in words
    assert "By the common linear rule, 0.34 L/psi" in words
    assert "Chance of reaching what is kept back before the end of: Clover" in words
    assert "Read the gauge at 10:30, 11:00" in words


def test_the_report_fits_the_screen_and_ends_with_the_caution(said):
    assert max(len(line) for line in said.splitlines()) <= 80
    assert "\x1b" not in said
    assert " ".join(said.split()).endswith(CAUTION_LINE)


def test_json_names_the_fields_of_every_answer():
    told = json.loads(run(EXAMPLE, "--json").output)
    alder = next(one for one in told["sources"] if one["name"] == "Alder")
    wall = next(one for one in told["sources"] if one["name"] == "Theatre 2 outlet")

    assert told["verdict"] == "Look again"
    assert alder["lasts_until"]["unit"] == "min after midnight"
    assert alder["lasts_until"]["low"] < alder["lasts_until"]["value"]
    assert alder["change_overs"][0]["value"] == alder["change_overs"][0]["low"]
    assert wall["lasts_until"]["value"] is None
    assert wall["lasts_until"]["settles"]
    assert wall["if_it_fails"]["value"] > 0


def test_the_same_seed_prints_the_same_and_another_one_does_not():
    one, again, other = (
        run(EXAMPLE, "--json", "--draws", 256, "--seed", seed).output for seed in (5, 5, 6)
    )

    assert one == again
    assert one != other


def test_a_pdf_is_written_beside_the_text(tmp_path):
    out = tmp_path / "day.pdf"
    result = run(EXAMPLE, "--draws", 64, "--pdf", out)

    assert result.exit_code == 0
    assert out.read_bytes().startswith(b"%PDF-")
    assert "Alder" in result.output


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Line 1: the file is empty"),
        ("[day\n", "not valid TOML"),
        ("[day]\nname = 'x'\nnme = 'y'\n", "Line 3, nme: 'nme' is not a key here"),
    ],
)
def test_a_file_that_cannot_be_taken_is_one_line(tmp_path, text, said):
    file = tmp_path / "plan.toml"
    file.write_text(text, encoding="utf-8")
    result = run(file)

    assert result.exit_code == 1
    assert result.output.startswith("Error: Line ")
    assert result.output.count("\n") == 1
    assert said in result.output


def test_a_file_that_is_not_there_or_no_text_is_one_line(tmp_path):
    binary = tmp_path / "plan.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    results = [run(tmp_path / "none.toml"), run(binary), run(tmp_path)]

    assert all(result.exit_code != 0 for result in results)
    assert all(result.output.count("\n") == 1 for result in results)
    assert "Name a file that is there" in results[0].output
    assert "Save it as UTF-8" in results[1].output


def test_a_pdf_that_cannot_be_written_is_one_line(tmp_path):
    result = run(EXAMPLE, "--draws", 64, "--pdf", tmp_path / "nowhere" / "day.pdf")

    assert result.exit_code == 1
    assert result.output.count("\n") == 1
    assert "Name another file" in result.output


def test_a_demand_without_a_source_is_a_stop(tmp_path):
    file = tmp_path / "plan.toml"
    text = EXAMPLE.read_text(encoding="utf-8")
    file.write_text(text.replace('oxygen = "4.5 L/min"', 'air = "4.5 L/min"'), encoding="utf-8")
    result = run(file, "--draws", 64)

    assert "Stop. No source feeds air to Robin." in result.output
    assert "no source" in result.output


def test_help_shows_an_example():
    assert "Example: ullage day" in run("--help").output

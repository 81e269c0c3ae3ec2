"""`ullage chain`: a table of parts, one part in full, the steps when the pipeline fails."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from ullage.cli.house import root

EXAMPLE = str(Path(__file__).parents[2] / "examples" / "chain.toml")


def run(*words):
    return CliRunner().invoke(root, ["chain", *words])


def test_every_part_stands_with_its_verdict():
    said = run(EXAMPLE).output

    assert "Dunnock, imaging room: oxygen from a cylinder" in said
    assert "Not yet. Not everything is answered: magnet room." in said
    assert "Is the regulator marked for use near the magnet?" in said
    assert "decide." in said.splitlines()[-1]


@pytest.mark.parametrize(
    "words", [(EXAMPLE,), (EXAMPLE, "--part", "regulator"), ("--pipeline-failed",)]
)
def test_no_line_is_wider_than_eighty_columns(words):
    result = run(*words)

    assert result.exit_code == 0
    assert max(len(line) for line in result.output.splitlines()) <= 80


def test_one_part_is_shown_in_full_with_where_it_is_from():
    said = run(EXAMPLE, "--part", "regulator").output

    assert "Where from" in said
    assert "common practice" in said


def test_when_the_pipeline_fails_it_is_disconnected_first():
    lines = run("--pipeline-failed").output.splitlines()

    assert "  1. Disconnect the pipeline hose at the wall." in lines
    assert "  2. Open the reserve oxygen cylinder with its wrench." in lines


def test_json_holds_the_whole_and_every_part():
    kept = json.loads(run(EXAMPLE, "--json").output)

    assert kept["chain"]["verdict"] == "Not yet"
    assert kept["parts"]["seal"]["verdict"] == "Fine"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [((), "Say which file holds the chain"), ((EXAMPLE, "--part", "engine"), "No part 'engine'")],
)
def test_an_error_is_one_line_that_says_what_to_do(words, sentence):
    result = run(*words)

    assert result.exit_code == 1
    assert sentence in result.output
    assert result.output.count("\n") == 1


def test_a_file_that_cannot_be_read_names_line_and_key(tmp_path):
    wrong = tmp_path / "chain.toml"
    wrong.write_text("[seal]\ncuont = 1\n", encoding="utf-8")
    result = run(str(wrong))

    assert result.exit_code == 1
    assert "Line 2, cuont" in result.output

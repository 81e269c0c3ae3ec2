"""`ullage chain`: every verdict in words, files that cannot be read, steps, JSON, width."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from ullage.answers import CAUTION_LINE
from ullage.answers.chain_links import LINKS
from ullage.cli.house import root

EXAMPLE = Path(__file__).parents[2] / "examples" / "chain.toml"


def run(*words):
    return CliRunner().invoke(root, ["chain", *map(str, words)])


def written(tmp_path, text):
    file = tmp_path / "chain.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_stop_is_said_first_with_its_part_and_what_to_do(tmp_path):
    said = run(written(tmp_path, "[seal]\ncount = 2\n")).output
    lines = said.splitlines()

    assert lines[0] == "oxygen from a cylinder"
    assert lines[1] == "Stop. Do not use this chain: connector and seal."
    assert "    Do: Take all of them out and fit exactly one new seal." in lines


def test_a_second_look_and_an_open_question_are_named_beside_their_parts(tmp_path):
    text = '[regulator]\nkind = "adjustable"\nstill_gauge = "50 psi"\n'
    words = " ".join(run(written(tmp_path, text)).output.split())

    assert "Regulator and line pressure (regulator) Look again" in words
    assert "What does the outlet gauge read at working flow?" in words


@pytest.mark.parametrize("part", [link.name for link in LINKS if link.name != "hose"])
def test_each_part_is_shown_in_full_within_eighty_columns(part):
    result = run(EXAMPLE, "--part", part)

    assert result.exit_code == 0, result.output
    assert max(map(len, result.output.splitlines())) <= 80
    assert "Where from" in result.output
    assert " ".join(result.output.split()).endswith(CAUTION_LINE)


@pytest.mark.parametrize("part", ["seal", "contents", "room_air"])
def test_json_of_a_part_is_its_answer(part):
    told = json.loads(run(EXAMPLE, "--part", part, "--json").output)

    assert told["question"].endswith("?")
    assert told["verdict"] in {"Fine", "Look again", "Stop", "Not yet"}
    assert told["where_from"]


def test_json_of_the_failing_pipeline_holds_its_steps_in_order():
    told = json.loads(run("--pipeline-failed", "--json").output)

    assert told["steps"][0]["what"].startswith("Disconnect the pipeline")
    assert told["value"] == len(told["steps"])
    assert told["verdict"] == "Stop"


def test_the_steps_are_numbered_without_a_gap_and_end_with_the_caution():
    said = run("--pipeline-failed").output
    numbered = [line.split(".")[0].strip() for line in said.splitlines() if line[2:3].isdigit()]

    assert numbered == [str(one) for one in range(1, len(numbered) + 1)]
    assert " ".join(said.split()).endswith(CAUTION_LINE)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Line 1: the file is empty; it needs a part"),
        ("[seal\n", "not valid TOML"),
        ('[contents]\nsize = "E"\ngauge = "900 bar"\n', "Line 3, gauge: The gauge reads 900 bar"),
        ('[chain]\nbarometer = "1013 bar"\n', "Line 2, barometer:"),
        ('[hose]\nfitted = "perhaps"\n', "Line 2, fitted:"),
    ],
)
def test_a_file_that_cannot_be_taken_is_one_line(tmp_path, text, said):
    result = run(written(tmp_path, text))

    assert result.exit_code == 1
    assert result.output.startswith("Error: Line ")
    assert result.output.count("\n") == 1
    assert said in result.output


def test_a_file_that_is_not_there_or_no_text_is_one_line(tmp_path):
    binary = tmp_path / "chain.toml"
    binary.write_bytes(b"\xff\xfe\x00")

    for result in (run(tmp_path / "none.toml"), run(tmp_path), run(binary)):
        assert result.exit_code != 0
        assert result.output.startswith("Error: ")
        assert result.output.count("\n") == 1
    assert "Save it as UTF-8" in run(binary).output


def test_a_part_that_a_chain_does_not_have_names_those_it_has():
    result = run(EXAMPLE, "--part", "engine")

    assert result.exit_code == 1
    assert "No part 'engine'; this chain has identity, secured, contents" in result.output

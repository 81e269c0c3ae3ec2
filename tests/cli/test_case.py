"""`ullage case`: what a person reads, what a program reads, and what is refused."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from ullage.cli.house import root

EXAMPLES = Path(__file__).parents[2] / "examples"


def run(*words):
    return CliRunner().invoke(root, ["case", *map(str, words)])


def edited(tmp_path, name, *changes):
    """An example with some of its lines changed."""
    text = (EXAMPLES / f"case_{name}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def shown():
    return {name: run(EXAMPLES / f"case_{name}.toml") for name in ("mouse", "cat", "pig")}


@pytest.mark.parametrize("name", ["mouse", "cat", "pig"])
def test_a_report_is_no_wider_than_the_screen_and_ends_with_the_caution(shown, name):
    result = shown[name]
    lines = result.output.splitlines()

    assert result.exit_code == 0
    assert max(len(line) for line in lines) <= 80
    assert " ".join(lines[-2:]).endswith("the responsible veterinarian decide.")


@pytest.mark.parametrize(
    ("name", "first", "system"),
    [
        ("mouse", "C-31: Look again", "A nose cone suits 25 g best."),
        ("cat", "Tansy: Look again", "A T-piece suits 4 kg best."),
        ("pig", "Rowan: Fine", "A circle suits 30 kg best."),
    ],
)
def test_a_report_begins_with_what_it_comes_to(shown, name, first, system):
    output = shown[name].output

    assert output.splitlines()[0] == first
    assert system in output


@pytest.mark.parametrize(
    "title",
    [
        "Fresh gas flow, and what the rules say",
        "Dial: a range to start from, no prescription",
        "Expected levels, %",
        "What it takes",
        "Take care",
        "Assumed",
        "Where from",
    ],
)
def test_every_part_is_there(shown, title):
    assert all(title in one.output for one in shown.values())


def test_what_would_be_unsafe_stands_before_everything_else(shown):
    output = shown["cat"].output

    assert output.index("Before you begin") < output.index("suits 4 kg best")
    assert "Before you begin" not in shown["pig"].output


def test_flows_that_the_file_leaves_out_come_from_the_rules(shown):
    assert "Teaching, reasonably safe, 250 mL/kg/min (chosen)" in shown["cat"].output
    assert "Set by the site or for this case (chosen)" in shown["pig"].output


def test_only_the_circle_takes_absorbent(shown):
    assert "Absorbent used up" in shown["pig"].output
    assert "Absorbent used up" not in shown["cat"].output


def test_a_value_from_memory_says_so(shown):
    assert "(from memory, not confirmed)" in shown["mouse"].output


def test_json_holds_every_answer_and_the_seed():
    result = run(EXAMPLES / "case_mouse.toml", "--json", "--draws", 40, "--seed", 5)
    told = json.loads(result.output)

    assert (told["draws"], told["seed"]) == (40, 5)
    assert {"system", "mac", "regain", "oxygen", "agent"} <= told["answers"].keys()
    assert told["dials"][0]["unit"] == "%"
    assert told["levels"][0]["brain"] == [0.0, 0.0, 0.0]


def test_the_same_seed_gives_the_same_report():
    words = (EXAMPLES / "case_mouse.toml", "--json", "--draws", 40)

    assert run(*words, "--seed", 5).output == run(*words, "--seed", 5).output
    assert run(*words, "--seed", 5).output != run(*words, "--seed", 6).output


def test_no_dial_is_printed_before_the_drugs_are_known(tmp_path):
    result = run(edited(tmp_path, "cat", ('drugs = "none"\n', "")))

    assert result.output.splitlines()[0] == "Tansy: Not yet"
    assert "Which drugs were given, or none?" in result.output
    assert "Dial: a range" not in result.output
    assert "Expected levels" not in result.output
    assert "Fresh gas flow" in result.output


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (('weight = "4 kg"', 'weight = "5000 kg"'), "Did you mean 5 kg?"),
        (('vaporizer = "isoflurane"', 'vaporizer = "halothane"'), "made for halothane"),
        (('agent = "isoflurane"', 'agent = "ether"'), "'ether' is in no vaporizer"),
        (('system = "T-piece"', 'system = "bag"'), "No breathing system 'bag'"),
        (('species = "cat"', 'species = "newt"'), "No values for 'newt'"),
        (("dead_space", "deadspace"), "the nearest is 'dead_space'"),
    ],
)
def test_bad_input_is_one_line_and_no_report(tmp_path, change, sentence):
    result = run(edited(tmp_path, "cat", change))

    assert result.exit_code == 1
    assert sentence in result.output
    assert len(result.output.strip().splitlines()) == 1


def test_a_stop_is_told_first(tmp_path):
    change = ("inspired_co2_measured = true", "inspired_co2_measured = false")
    result = run(edited(tmp_path, "cat", change, ('system = "T-piece"', 'system = "circle"')))

    assert result.output.splitlines()[0] == "Tansy: Stop"
    assert "Stop. A circle below 10 kg" in result.output


def test_a_file_that_is_not_there_is_named(tmp_path):
    result = run(tmp_path / "none.toml")

    assert result.exit_code == 1
    assert "no such file" in result.output


def test_a_file_that_is_not_text_is_refused(tmp_path):
    path = tmp_path / "case.toml"
    path.write_bytes(b"\xff\xfe\x00")

    assert "not text in UTF-8" in run(path).output


def test_a_report_tells_what_changes_and_leaves_out_what_stays(shown):
    pig, cat = shown["pig"].output, shown["cat"].output

    assert "Flow halved" in pig
    assert "Dial down 0.5 %" in pig
    # On a T-piece the level does not rest on the flow.
    told = cat[cat.index("Flow doubled") : cat.index("Dial up")]
    assert "oxygen:" in told
    assert "end-tidal" not in told


def test_a_chamber_and_then_a_mask_are_told():
    result = run(EXAMPLES / "case_chamber.toml")

    assert result.exit_code == 0
    assert "How much fresh gas in a chamber to begin with" in result.output
    assert "a chamber of 8 L holds" in " ".join(result.output.split())
    assert "Purge it with 3 volumes, 24 L of gas without agent first." in " ".join(
        result.output.split()
    )


def test_nitrous_oxide_tells_what_it_does_to_oxygen(tmp_path):
    changed = (
        '"2 h", oxygen = "1 L/min"',
        '"2 h", oxygen = "0.5 L/min", nitrous_oxide = "0.5 L/min"',
    )
    result = run(edited(tmp_path, "pig", changed))
    said = " ".join(result.output.split())

    assert result.exit_code == 0
    assert "end-tidal level of nitrous oxide is expected at" in said
    assert "points lower after" in said
    assert "Nitrous oxide 60 L" in said


def test_json_holds_what_changes():
    told = json.loads(run(EXAMPLES / "case_cat.toml", "--json", "--draws", 40).output)
    first = told["changes"][0]

    assert first["sentence"].startswith("Flow doubled: oxygen")
    assert first["rows"][0]["after"]["value"] >= first["rows"][0]["before"]["value"] * 0.99
    assert told["levels"][-1]["inspired_oxygen"][1] > 90.0

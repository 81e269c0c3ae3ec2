import json

import pytest
from click.testing import CliRunner

from ullage.answers.answer import CAUTION_LINE
from ullage.cli.house import root
from ullage.reference import conflicts, counts, disagreements, search, table, value_counts


def run(*given):
    return CliRunner().invoke(root, ["values", *given])


def told(*given):
    """The text of a command that works, its caution line on one line."""
    result = run(*given)

    assert result.exit_code == 0, result.output
    return result.output


@pytest.mark.parametrize(
    "given",
    [
        (),
        ("oxygen", "flush"),
        ("nothing-holds-this",),
        ("--table", "pipeline"),
        ("--table", "eos_tables"),
        ("--table", "sources"),
        ("oxygen", "--all"),
        ("--count",),
        ("--conflicts",),
        ("--conflicts", "nothing-holds-this"),
        ("--identify", "height=30 in", "--identify", "diameter=4.25 in"),
        ("--help",),
    ],
    ids=" ".join,
)
def test_text_fits_eighty_columns_and_ends_with_the_caution(given):
    lines = told(*given).splitlines()

    assert max(len(line) for line in lines) <= 80
    if given != ("--help",):
        assert " ".join(" ".join(lines).split()).endswith(CAUTION_LINE)


def test_a_row_tells_its_value_its_mark_and_its_source():
    text = told("flush", "lower", "end", "--table", "supply")

    assert "supply:flush_low_l_min  35 L/min\n" in text
    assert "seen in print; estimated; spread not published" in text
    assert "from supply_S20: APSF newsletter, O2 flush valve" in text


def test_a_value_from_memory_says_so():
    text = told("--table", "gas_colours", "iso.vacuum")

    assert "gas_colours:iso.vacuum  yellow\n" in text
    assert "from memory, not confirmed" in text


def test_a_rule_of_the_trade_says_that_it_has_no_source():
    assert "common practice, no source" in told("CP-15", "--table", "rules")


def test_a_long_result_is_cut_with_the_way_to_see_the_rest():
    rows = len(search("oxygen"))

    assert f"25 of {rows} rows shown. Add a word, name a --table, or use --all." in told("oxygen")
    assert told("oxygen", "--all").count("\n") > told("oxygen").count("\n")
    assert "rows shown" not in told("oxygen", "--all")


def test_nothing_found_is_said_with_what_to_do():
    assert "Nothing holds all the words of 'xyzzy'. Try fewer words." in told("xyzzy")


def test_without_words_the_tables_are_listed():
    text = told()

    assert f"supply_checks {'':>6}" in text
    assert "trade_rules" in text
    assert f"{len(conflicts()):>6}\n" in text


def test_counts_are_printed_per_table_and_per_mark_with_what_was_left_out():
    lines = [line.split() for line in told("--count").splitlines()]
    loaded = sum(one.loaded for one in counts())
    left = sum(one.left_out for one in counts())
    held = sum(one.loaded for one in value_counts())

    assert ["supply_checks", "computed", "72", "0"] in lines
    assert ["records_standards", "seen", "in", "print", "198", "54"] in lines
    assert ["all", "all", str(loaded), str(left)] in lines
    assert ["all", "all", str(held), "0"] in lines
    assert "Left out of records_standards: on building software" in told("--count")


def test_conflicts_stand_side_by_side_with_the_default():
    text = told("--conflicts")

    assert all(f"{one.key}  {one.topic}"[:70] in text for one in conflicts())
    assert all(f"{one.key}  " in text for one in disagreements())
    assert "    50 C\n    52 C\n    54 C\n  suggested: 50 C\n" in text
    assert "rule of the trade (common practice, no source): 700 L" in text


def test_conflicts_can_be_searched():
    text = told("--conflicts", "flush")

    assert "K-16" in text
    assert "K-13" not in text
    assert "No conflict holds all the words of 'xyzzy'." in told("--conflicts", "xyzzy")


def test_a_cylinder_is_identified_from_what_can_be_measured():
    text = told("--identify", "height=30 in", "--identify", "diameter=10.8 cm", "--region", "US")

    assert text.startswith("E (US)  4.76 L of water (computed)\n")
    assert "E (UK/ISO)" not in text
    assert "Confirm on the stamp or the label" in text


def test_a_cylinder_that_fits_no_size_is_not_guessed():
    text = told("--identify", "water=4.76 L", "--identify", "label=6900 L")

    assert text.startswith("No size in the table fits.")
    assert "Confirm" not in text


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (("--table", "suply"), "No table 'suply'. Tables:"),
        (("--identify", "weight=3 kg"), "'weight=3 kg' is no clue; write one of height,"),
        (("--identify", "height=3 kg"), "'kg' is not a unit of length"),
        (("--identify", "height=-3 in"), "height is -0.0762; it must be a number above 0."),
        (("--identify", "label=680 L", "--region", "Mars"), "No region 'Mars'."),
    ],
)
def test_what_cannot_be_is_one_line_and_not_exit_0(given, sentence):
    result = run(*given)

    assert result.exit_code != 0
    assert sentence in result.output
    assert result.output.count("\n") == 1


def test_json_holds_every_row_with_its_mark():
    rows = json.loads(told("--table", "supply", "--json"))

    assert [one["key"] for one in rows] == list(table("supply"))
    assert {one["mark"] for one in rows} >= {"from memory, not confirmed", "seen in print"}


def test_json_of_the_rest_is_whole():
    assert len(json.loads(told("--conflicts", "--json"))) == len(conflicts()) + len(disagreements())
    counted = json.loads(told("--count", "--json"))
    assert sum(one["loaded"] for one in counted) > 2429
    assert "supply" in json.loads(told("--json"))
    found = json.loads(told("--identify", "water=2.3 L", "--json"))
    assert [one["size"] for one in found] == ["D (UK/ISO)"]


def test_the_search_for_nothing_cut_to_a_table_prints_all_of_it():
    assert told("--table", "eos_tables").count("eos_tables:") == 640

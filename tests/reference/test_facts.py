import csv
from collections import Counter
from pathlib import Path

import pytest

import ullage
from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, Standing, counts, fact, fact_rows, fact_tables

FOLDER = Path(ullage.__file__).parent / "reference" / "data" / "facts"

#: Rows of each file of the fact base, as its list of files prints them.
PRINTED = {
    "agents_values": 367,
    "body": 60,
    "eos_tables": 640,
    "machine_checks": 105,
    "partition": 83,
    "physiology_values": 676,
    "records_standards": 285,
    "saturation_n2o_co2": 49,
    "supply_checks": 124,
    "trade_rules": 24,
    "uptake_checks": 71,
}

#: What a mark in a file may be loaded as; never as more than it says.
NOT_RAISED = {
    "seen": {HowKnown.SEEN, HowKnown.COMPUTED},
    "memory": {HowKnown.MEMORY, HowKnown.COMPUTED},
    "computed": {HowKnown.COMPUTED},
    "common practice, no source": {HowKnown.COMMON},
    None: {HowKnown.COMPUTED},
}

WORKED_OUT = ("computed from the named source", "derived", "arithmetic", "back-computed")


def written(name):
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


def by_key(name):
    """The rows of a file that has a column ``id``."""
    return {row["id"]: row for row in written(name) if "id" in row}


def test_every_file_of_facts_is_a_table():
    assert set(fact_tables()) == {path.stem for path in FOLDER.glob("*.csv")} == set(PRINTED)


@pytest.mark.parametrize("name", PRINTED)
def test_loaded_and_left_out_add_up_to_the_rows_of_the_file(name):
    counted = [one for one in counts() if one.table == name]

    assert len(written(name)) == PRINTED[name]
    assert sum(one.loaded + one.left_out for one in counted) == PRINTED[name]
    assert sum(one.loaded for one in counted) == len(fact_rows(name))


@pytest.mark.parametrize("name", PRINTED)
def test_the_counts_per_mark_are_those_of_the_rows(name):
    held = Counter(one.how_known for one in fact_rows(name))

    assert {one.how_known: one.loaded for one in counts() if one.table == name} == held


def test_what_is_left_out_has_a_reason_and_nothing_else_has_one():
    left = [one for one in counts() if one.left_out]

    assert {one.table for one in left} == {"records_standards"}
    assert sum(one.left_out for one in left) == 55
    assert all((one.reason != "") == (one.left_out > 0) for one in counts())


@pytest.mark.parametrize("name", PRINTED)
def test_no_mark_is_raised(name):
    rows = by_key(name)
    for one in fact_rows(name):
        marked = rows[one.key]["how_known"] if rows else None
        assert one.how_known in NOT_RAISED[marked], one.place
        kept = one.inputs_known.value if one.inputs_known else marked
        assert kept == marked, one.place


@pytest.mark.parametrize("name", [one for one in PRINTED if "id" in written(one)[0]])
def test_a_mark_is_lowered_where_the_note_says_that_the_value_was_worked_out(name):
    rows = by_key(name)
    for one in fact_rows(name):
        note = rows[one.key].get("note", "").lower().replace("re-derived", "")
        said = any(word in note for word in WORKED_OUT)
        assert (one.inputs_known is not None) == said, one.place


@pytest.mark.parametrize("name", PRINTED)
def test_each_row_has_a_key_of_its_own_a_value_or_a_statement_and_a_source(name):
    rows = fact_rows(name)

    assert len({one.key for one in rows}) == len(rows)
    for one in rows:
        assert one.value or one.quantity, one.place
        assert one.source, one.place


@pytest.mark.parametrize("name", [one for one in PRINTED if "id" in written(one)[0]])
def test_a_value_stands_as_it_was_written(name):
    rows, column = by_key(name), "expected" if name.endswith("checks") else "value"
    for one in fact_rows(name):
        if column in rows[one.key]:
            assert one.value == rows[one.key][column], one.place


def test_same_is_the_source_of_the_row_before_or_of_the_row_named():
    assert fact("machine_checks", "BF20").source == fact("machine_checks", "BF19").source
    assert (
        fact("records_standards", "REC-002").source == fact("records_standards", "REC-001").source
    )
    assert not any(
        one.source.lower() == "same" or one.source.startswith("same as REC")
        for name in fact_tables()
        for one in fact_rows(name)
    )


def test_a_computed_row_shows_the_mark_of_its_inputs():
    assert fact("supply_checks", "C009").mark == "computed; inputs seen in print"
    assert fact("machine_checks", "LK02").mark == "computed; inputs from memory, not confirmed"
    assert fact("supply_checks", "C035").mark == "seen in print"


def test_a_choice_of_the_authors_stands_as_assumed():
    assert fact("physiology_values", "E052").standing is Standing.ASSUMED
    assert fact("partition", "PT-006").standing is Standing.ASSUMED
    assert fact("supply_checks", "C001").standing is Standing.EXACT
    assert fact("uptake_checks", "H-FAFI30-des").standing is Standing.MEASURED


def test_a_value_that_is_no_number_stays_words():
    assert fact("machine_checks", "LK09").number is None
    assert fact("supply_checks", "C035").number == 660.0
    assert fact("body", "BD-001").value == "mass_fraction=0.020; flow_fraction=0.130"


def test_an_unknown_table_or_row_is_refused_in_a_sentence():
    with pytest.raises(UnknownReference, match="No fact table 'supplies'"):
        fact_rows("supplies")
    with pytest.raises(UnknownReference, match="No row 'C999' in the fact table supply_checks"):
        fact("supply_checks", "C999")


def test_a_known_gap_of_the_tables_is_told_beside_the_row():
    notes = {one.quantity: one.note for one in fact_rows("eos_tables")}

    assert "up to 0.0003" in notes["air"]
    assert notes["O2"] == ""
    assert fact("trade_rules", "CP-11").note == ""

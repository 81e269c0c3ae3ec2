"""Values that stay in their row of a fact table and come with its mark."""

import pytest

from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, Sourced, fact, sourced, sources, table
from ullage.reference.taken import number_of, numbers_in, taken
from ullage.reference.values import Spread, raw_table

TABLES = ("agents", "animals", "potency", "solubility")


def fact_lines(node):
    """Every row that names a row of a fact table."""
    if isinstance(node, dict) and "fact" in node:
        yield node
    elif isinstance(node, dict):
        for below in node.values():
            yield from fact_lines(below)


@pytest.mark.parametrize(
    ("cell", "numbers"),
    [
        ("0.63-0.69", (0.63, 0.69)),
        ("-17; -24", (-17.0, -24.0)),
        ("241 * M^-0.25", (241.0, -0.25)),
        ("10 (8-12) / 120 (100-150) / PIP 12-20", (10, 8, 12, 120, 100, 150, 12, 20)),
        ("N2O and CO2 only", ()),
        ("+-20 % of setting", (20.0,)),
    ],
)
def test_the_numbers_of_a_cell_are_read_in_order(cell, numbers):
    assert numbers_in(cell) == numbers


def test_a_single_number_keeps_its_printed_spread():
    row = number_of(fact("agents_values", "MAC-060"))

    assert (row.value, row.low, row.high) == (1.63, pytest.approx(1.61), pytest.approx(1.65))
    assert row.spread is Spread.SD


def test_a_standard_error_is_no_spread_of_animals():
    row = number_of(fact("agents_values", "MAC-046"))

    assert (row.value, row.low, row.spread) == (2.07, None, None)


def test_a_range_gives_its_middle_which_is_worked_out_and_not_seen():
    row = number_of(fact("agents_values", "PHY-012"))

    assert (row.value, row.low, row.high) == (pytest.approx(1.5225), 1.52, 1.525)
    assert row.how_known is HowKnown.COMPUTED


def test_three_parts_are_middle_and_ends_as_printed():
    row = number_of(fact("physiology_values", "E034"), [4, 2, 3])

    assert (row.value, row.low, row.high) == (44.0, 23.0, 70.0)
    assert row.how_known is HowKnown.SEEN


def test_a_cell_with_several_numbers_asks_which_one():
    with pytest.raises(UnknownReference, match="holds no single number"):
        number_of(fact("agents_values", "GWP-001"))
    with pytest.raises(UnknownReference, match="holds no number 9"):
        number_of(fact("agents_values", "GWP-001"), 9)


def test_a_row_from_memory_is_never_shown_under_a_source_that_was_read():
    row = number_of(fact("agents_values", "MAC-052"))

    assert row.source == "agents_values_memory"
    assert sources()[row.source].seen_on == ""


def test_a_mark_beside_a_row_lowers_it_and_a_higher_one_is_ignored():
    lowered = taken("x", {"fact": "agents_values:MAC-060", "how_known": "memory"})
    not_raised = taken("x", {"fact": "agents_values:MAC-052", "how_known": "seen"})

    assert lowered.how_known is HowKnown.MEMORY
    assert not_raised.how_known is HowKnown.MEMORY


def test_a_number_in_a_note_is_found_there():
    row = taken("x", {"fact": "agents_values:MAC-076", "of": "note", "part": 1})

    assert row.value == 10.3
    assert "note" in row.where


@pytest.mark.parametrize("name", TABLES)
def test_a_row_that_names_a_fact_holds_no_number_of_its_own(name):
    lines = list(fact_lines(raw_table(name)))

    assert lines
    assert not [one for one in lines if {"value", "low", "high", "source", "where"} & set(one)]


@pytest.mark.parametrize("name", TABLES)
def test_no_table_raises_the_mark_of_the_fact_it_names(name):
    order = [HowKnown.SEEN, HowKnown.COMPUTED, HowKnown.MEMORY]
    checked = 0
    for row in table(name).values():
        named = row.where.partition(":")[0].partition(",")[0]
        for facts in ("agents_values", "physiology_values", "partition"):
            if row.source.startswith(facts) and isinstance(row, Sourced):
                mark = fact(facts, named).how_known
                assert order.index(row.how_known) >= order.index(mark), row.key
                checked += 1
                break

    assert checked


def test_the_loader_hands_such_a_row_out_like_any_other():
    assert sourced("animals", "tidal.exponent").value == 1.04

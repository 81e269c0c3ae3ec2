"""What every row of the data owes its reader, whoever wrote it."""

import csv
import re
from pathlib import Path

import pytest
import scipy.constants

import ullage
from ullage.core import units
from ullage.core.agents import MOLAR_GAS_J_MOL_K
from ullage.core.gas import CONDITIONS
from ullage.reference import HowKnown, Sourced, Standing, Stated, sourced, sources, table, tables
from ullage.reference.values import raw_table

PACKAGE = Path(ullage.__file__).parent
EVERY_TABLE = pytest.mark.parametrize("name", tables())

#: What a row may carry; ``fill`` stands beside the contents of a cylinder.
ALLOWED = {
    *("value", "unit", "low", "high", "spread", "text", "gas", "condition"),
    *("standing", "source", "where", "how_known", "note", "fill"),
    *("fact", "part", "of"),
}

#: Tables whose keys are names of things, and not of quantities.
KEYED_BY_NAME = {"cylinder_sizes", "species_weights", "rules", "animals", "potency"}

#: Units that no kind of quantity at the edges has.
OWN_UNITS = {
    *("1", "L/L", "L/kg", "kg/L", "L/psi", "psi/K", "W/(L/min)", "mL/kg", "1/K", "vol%"),
    *("g/mol", "kg/kg", "L/mol", "a", "1/a", "J/(mol K)", "mg/m³", "m/min"),
}


def numbers(name):
    return [row for row in table(name).values() if isinstance(row, Sourced)]


@EVERY_TABLE
def test_every_row_names_a_known_source_and_a_place(name):
    for row in table(name).values():
        assert row.source in sources(), row.key
        assert row.where, row.key


@EVERY_TABLE
def test_a_value_seen_has_a_source_read_on_a_date(name):
    for row in table(name).values():
        read_on = sources()[row.source].seen_on
        assert row.how_known is not HowKnown.SEEN or re.match(r"\d{4}-\d\d-\d\d", read_on), row.key


@EVERY_TABLE
def test_nothing_known_from_memory_is_shown_as_sourced(name):
    for row in table(name).values():
        assert row.how_known is not HowKnown.MEMORY or not sources()[row.source].seen_on, row.key


@EVERY_TABLE
def test_common_practice_has_no_source(name):
    for row in table(name).values():
        assert (row.how_known is HowKnown.COMMON) == (row.source == "common_practice"), row.key


@EVERY_TABLE
def test_a_band_holds_its_value_or_is_said_not_to_be_published(name):
    for row in numbers(name):
        band = row.band()
        assert band.low <= row.value <= band.high, row.key
        if row.low is None and row.standing is not Standing.EXACT:
            assert (band.published, row.high) == (False, None), row.key
            assert band.words.startswith("spread not published; ")
            assert band.words.endswith("is assumed")


@EVERY_TABLE
def test_a_printed_band_says_what_it_is_and_an_exact_value_has_none(name):
    for row in numbers(name):
        assert (row.low is None) == (row.high is None) == (row.spread is None), row.key
        assert row.low is None or row.standing is not Standing.EXACT, row.key


@EVERY_TABLE
def test_every_number_has_a_unit_that_we_know(name):
    written = {unit for kind in units.KINDS.values() for unit in kind}

    for row in numbers(name):
        assert row.unit in written | OWN_UNITS, row.key


@pytest.mark.parametrize("name", [one for one in tables() if one not in KEYED_BY_NAME])
def test_a_key_ends_in_the_unit_of_its_row(name):
    ends = {"psi": "psi", "kPa": "kpa", "L/min": "l_min", "kg": "kg", "°C": "c", "mL/min": "ml_min"}
    for key, row in table(name).items():
        if isinstance(row, Sourced) and row.unit in ends:
            last = re.sub(r"_(?:low|high)$", "", key)
            assert last.endswith(ends[row.unit]), f"{name}:{key} is in {row.unit}"


def rows_as_written(node):
    if isinstance(node, dict) and ("how_known" in node or "fact" in node):
        yield node
    elif isinstance(node, dict | list):
        for below in node.values() if isinstance(node, dict) else node:
            yield from rows_as_written(below)


@EVERY_TABLE
def test_no_row_carries_a_field_that_nobody_reads(name):
    for row in rows_as_written(raw_table(name)):
        assert set(row) <= ALLOWED


def test_every_source_says_what_it_is_and_a_date_says_whose_it_is():
    for one in sources().values():
        assert one.cite
        assert bool(one.seen_on) == bool(one.seen_in)
        if one.key.startswith(("supply_S", "machine_S")):
            assert one.seen_on == "2026-11-25, date of the fact base"


def cited_in(text):
    """The keys behind ``Source:`` in the docstrings of one file."""
    for found in re.finditer(r'^ +Source: (.*?)(?=\n *\n|""")', text, re.MULTILINE | re.DOTALL):
        bare = found[1]
        while "(" in bare and (shorter := re.sub(r"\([^()]*\)", "", bare)) != bare:
            bare = shorter
        yield from (key.strip(" .\n") for key in re.split(r"[;,]", bare))


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: path.stem)
def test_a_source_key_in_a_docstring_exists(path):
    assert set(cited_in(path.read_text(encoding="utf-8"))) <= set(sources())


def test_the_scan_for_source_keys_sees_them():
    assert list(cited_in("    Source: coolprop (a (b); c); isa.\n\n")) == ["coolprop", "isa"]
    assert list(cited_in('    Source: nobody (air).\n    """')) == ["nobody"]


# Definitions as held by scipy.constants 1.18.
@pytest.mark.published("scipy_constants")
@pytest.mark.parametrize(
    ("key", "core", "printed"),
    [
        ("standard_atmosphere_kpa", units.STANDARD_ATMOSPHERE_KPA, scipy.constants.atm / 1000),
        ("zero_celsius_k", units.ZERO_CELSIUS_K, scipy.constants.zero_Celsius),
        ("psi_kpa", units.PSI_KPA, scipy.constants.psi / 1000),
        ("bar_kpa", units.BAR_KPA, scipy.constants.bar / 1000),
        ("kgf_cm2_kpa", units.KGF_CM2_KPA, scipy.constants.kgf * 10),
        ("cubic_foot_l", units.CUBIC_FOOT_L, scipy.constants.foot**3 * 1000),
        ("gallon_us_l", units.GALLON_US_L, scipy.constants.gallon * 1000),
        ("pound_kg", units.POUND_KG, scipy.constants.pound),
        ("inch_m", units.INCH_M, scipy.constants.inch),
        ("foot_m", units.FOOT_M, scipy.constants.foot),
        ("molar_gas_j_mol_k", MOLAR_GAS_J_MOL_K, scipy.constants.R),
    ],
)
def test_the_core_the_data_and_the_library_agree_on_definitions(key, core, printed):
    assert sourced("definitions", key).value == core
    assert core == pytest.approx(printed, rel=1e-14)


@pytest.mark.parametrize("name", ["F70", "C15", "C0"])
def test_the_core_and_the_data_agree_on_reference_conditions(name):
    condition = CONDITIONS[f"{name[1:]}{name[0]}"]

    assert sourced("definitions", f"{name.lower()}_k").value == condition.temperature_k


def test_every_rule_of_the_trade_is_the_row_of_its_fact_table():
    path = PACKAGE / "reference" / "data" / "facts" / "trade_rules.csv"
    with path.open(encoding="utf-8", newline="") as opened:
        written = {row["id"]: row for row in csv.DictReader(opened)}
    rules = table("rules")

    assert rules.keys() == written.keys()
    for key, row in rules.items():
        said = written[key]["value"]
        yes = {"yes": "true", "no": "false"}
        held = yes.get(row.text, row.text) if isinstance(row, Stated) else f"{row.value:g}"
        assert held == said
        assert row.how_known is HowKnown.COMMON
        assert written[key]["rule"] in row.where

"""The fact tables as data: every row of `data/facts` in one shape, with its mark.

A mark is never raised. A row whose note says that it was worked out is loaded as computed and
keeps the mark of what it was worked out from.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ullage.core.errors import UnknownReference
from ullage.reference.values import HowKnown, Standing

__all__ = ["Count", "Fact", "counts", "fact", "fact_rows", "fact_tables"]

_FACTS = Path(__file__).parent / "data" / "facts"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One row: what it is of, its value in words and where it can be as a number, its mark.

    ``how_known`` is None for what is no value: a citation, or several values side by side.
    ``inputs_known`` is the mark of what a computed value was worked out from.
    """

    table: str
    key: str
    quantity: str
    value: str
    how_known: HowKnown | None = None
    standing: Standing | None = None
    number: float | None = None
    unit: str = ""
    subject: str = ""
    spread: str = ""
    condition: str = ""
    source: str = ""
    inputs_known: HowKnown | None = None
    note: str = ""

    @property
    def place(self) -> str:
        """How the row is cited: ``supply_checks:C035``."""
        return f"{self.table}:{self.key}"

    @property
    def mark(self) -> str:
        """The words shown beside the value, the mark of the inputs among them."""
        if self.how_known is None:
            return ""
        if self.inputs_known is None:
            return self.how_known.words
        return f"{self.how_known.words}; inputs {self.inputs_known.words}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """How many rows of one fact table and one mark were loaded, how many left out and why."""

    table: str
    how_known: HowKnown
    loaded: int
    left_out: int = 0
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """Which columns of a table hold what; several value columns are kept by name in one text."""

    quantity: str
    value: tuple[str, ...]
    unit: tuple[str, ...] = ("unit",)
    subject: tuple[str, ...] = ()
    spread: tuple[str, ...] = ()
    condition: tuple[str, ...] = ()
    note: str = "note"
    key: tuple[str, ...] = ("id",)
    source: str = "source"


_SHAPES: Mapping[str, _Shape] = {
    "agents_values": _Shape(
        quantity="quantity",
        value=("value",),
        subject=("agent", "species"),
        spread=("sd_or_range",),
        condition=("conditions",),
    ),
    "body": _Shape(
        quantity="compartment",
        value=("mass_fraction", "flow_fraction"),
        unit=("mass_unit", "flow_unit"),
        subject=("species", "set"),
    ),
    "eos_tables": _Shape(
        quantity="gas",
        value=(
            "Z",
            "free_L_per_L_water_70F_1atm",
            "free_L_per_L_water_15C_1atm",
            "deliverable_L_per_L_water_70F_1atm",
            "ideal_gas_L_per_L_water_70F_1atm",
        ),
        unit=(),
        condition=("temp_C", "gauge_psi"),
        key=("gas", "temp_C", "gauge_psi"),
    ),
    "machine_checks": _Shape(
        quantity="quantity", value=("expected",), spread=("tolerance",), condition=("inputs",)
    ),
    "partition": _Shape(
        quantity="quantity",
        value=("value",),
        subject=("agent", "species"),
        condition=("temperature_C", "set"),
    ),
    "physiology_values": _Shape(
        quantity="quantity",
        value=("value",),
        subject=("species",),
        spread=("range",),
        condition=("condition",),
    ),
    "records_standards": _Shape(quantity="fact", value=("value",), subject=("topic",)),
    "saturation_n2o_co2": _Shape(
        quantity="gas",
        value=(
            "sat_gauge_psi",
            "sat_gauge_bar",
            "rho_liquid_kg_m3",
            "rho_vapour_kg_m3",
            "Z_sat_vapour",
            "vapour_free_L_per_L_water_70F",
        ),
        unit=(),
        condition=("temp_C",),
        key=("gas", "temp_C"),
    ),
    "supply_checks": _Shape(
        quantity="quantity", value=("expected",), spread=("tolerance",), condition=("inputs",)
    ),
    "trade_rules": _Shape(
        quantity="rule",
        value=("value",),
        spread=("tolerance",),
        condition=("see",),
        note="physics_or_sources",
    ),
    "uptake_checks": _Shape(
        quantity="quantity",
        value=("expected",),
        subject=("species", "agent"),
        spread=("sd", "tolerance"),
        condition=("setup",),
    ),
}

#: Tables that name no source row by row: all of it was computed with one library.
_COMPUTED_WITH = {
    "eos_tables": "CoolProp 8.0.0 (supply S49)",
    "saturation_n2o_co2": "CoolProp 8.0.0 (supply S49)",
}

#: What the fact base says of some rows of a table that has no column for it.
_KNOWN_GAPS = {
    ("eos_tables", "air"): "Z differs from a recomputation by up to 0.0003: gas constant and molar"
    " mass of the mixture; the free litres agree to the last digit.",
}

#: Topics of `records_standards` that speak of building software and not of the work.
_NOT_THE_WORK = frozenset(
    {
        "durability",
        "fhir.resources",
        "hl7",
        "library",
        "password",
        "security",
        "software standard",
        "testing",
        "typst",
        "ucumvert",
    }
)
_LEFT_OUT = "on building software, not on the work"

_MARKS = {
    "seen": HowKnown.SEEN,
    "memory": HowKnown.MEMORY,
    "computed": HowKnown.COMPUTED,
    "common practice, no source": HowKnown.COMMON,
}

#: A note with one of these words says that the value was worked out; "re-derived" does not.
_WORKED_OUT = re.compile(
    r"computed from the named source|(?<![-\w])derived|arithmetic|back-computed|own computation",
    re.IGNORECASE,
)
_CHOSEN = re.compile(r"\b(?:proposal|judgement|assumption|placeholder)\b", re.IGNORECASE)
_AS_ABOVE = re.compile(r"^(?:same|as above)$", re.IGNORECASE)
_AS_ROW = re.compile(r"^same as ([A-Z0-9]+-\d+)$")


def fact_tables() -> tuple[str, ...]:
    """The names of the fact tables."""
    return tuple(_SHAPES)


@cache
def fact_rows(name: str) -> tuple[Fact, ...]:
    """Every loaded row of one fact table.

    >>> fact_rows("trade_rules")[0].place, fact_rows("trade_rules")[0].how_known.words
    ('trade_rules:CP-01', 'common practice, no source')
    """
    return tuple(_loaded(name))


def fact(name: str, key: str) -> Fact:
    """One row of one fact table.

    >>> fact("supply_checks", "C035").value
    '660'
    """
    found = next((one for one in fact_rows(name) if one.key == key), None)
    if found is None:
        raise UnknownReference(f"No row {key!r} in the fact table {name}.")
    return found


@cache
def counts() -> tuple[Count, ...]:
    """Rows loaded and left out, per fact table and per mark as loaded."""
    counted = []
    for name in _SHAPES:
        loaded = Counter(one.how_known for one in fact_rows(name))
        left = Counter(_mark(name, row)[0] for row in _rows(name) if _left_out(name, row))
        for how in HowKnown:
            if loaded[how] or left[how]:
                reason = _LEFT_OUT if left[how] else ""
                one = Count(
                    table=name,
                    how_known=how,
                    loaded=loaded[how],
                    left_out=left[how],
                    reason=reason,
                )
                counted.append(one)
    return tuple(counted)


@cache
def _rows(name: str) -> tuple[Mapping[str, str], ...]:
    import csv

    if name not in _SHAPES:
        raise UnknownReference(f"No fact table {name!r}. Fact tables: {', '.join(_SHAPES)}.")
    with (_FACTS / f"{name}.csv").open(encoding="utf-8", newline="") as opened:
        return tuple(csv.DictReader(opened))


def _left_out(name: str, row: Mapping[str, str]) -> bool:
    return name == "records_standards" and row["topic"] in _NOT_THE_WORK


def _loaded(name: str) -> Iterator[Fact]:
    above, cited = "", dict[str, str]()
    for row in _rows(name):
        source = _source(name, row, above, cited)
        above = cited[_key(name, row)] = source
        if not _left_out(name, row):
            yield _fact(name, row, source)


def _source(name: str, row: Mapping[str, str], above: str, cited: Mapping[str, str]) -> str:
    """The citation of a row; "same" is that of the row before or of the row named."""
    if name in _COMPUTED_WITH:
        return _COMPUTED_WITH[name]
    written = row.get(_SHAPES[name].source, "")
    if _AS_ABOVE.match(written):
        return above
    if named := _AS_ROW.match(written):
        return cited.get(named[1], written)
    return written


def _key(name: str, row: Mapping[str, str]) -> str:
    return "-".join(row[column] for column in _SHAPES[name].key)


def _fact(name: str, row: Mapping[str, str], source: str) -> Fact:
    shape = _SHAPES[name]
    how, inputs = _mark(name, row)
    value = row[shape.value[0]] if len(shape.value) == 1 else _named(row, shape.value)
    return Fact(
        table=name,
        key=_key(name, row),
        quantity=row[shape.quantity],
        value=value,
        number=_number(value),
        unit="; ".join(row[column] for column in shape.unit if row[column]),
        subject=", ".join(row[column] for column in shape.subject if row[column] not in {"", "-"}),
        spread=_named(row, shape.spread),
        condition=_named(row, shape.condition),
        source=source or how.words,
        how_known=how,
        inputs_known=inputs,
        standing=_standing(row, how),
        note=_note(name, row),
    )


def _note(name: str, row: Mapping[str, str]) -> str:
    shape = _SHAPES[name]
    written = row.get(shape.note, "")
    return _KNOWN_GAPS.get((name, row[shape.quantity]), "" if written == "-" else written)


def _named(row: Mapping[str, str], columns: tuple[str, ...]) -> str:
    """The filled columns in one text; several are told apart by their names."""
    filled = [(column, row[column]) for column in columns if row[column]]
    if len(columns) == 1:
        return "".join(text for _, text in filled)
    return "; ".join(f"{column}={text}" for column, text in filled)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _mark(name: str, row: Mapping[str, str]) -> tuple[HowKnown, HowKnown | None]:
    """The mark as loaded, lowered where the note says so, and the mark of the inputs."""
    if name in _COMPUTED_WITH:
        return HowKnown.COMPUTED, None
    marked = _MARKS[row["how_known"]]
    if marked in {HowKnown.SEEN, HowKnown.MEMORY} and _WORKED_OUT.search(row.get("note", "")):
        return HowKnown.COMPUTED, marked
    return marked, None


def _standing(row: Mapping[str, str], how: HowKnown) -> Standing:
    """Exact by definition, chosen, measured with its spread, or else an estimate."""
    note, source = row.get("note", ""), row.get("source", "")
    if "exact by definition" in note or source.startswith("definition"):
        return Standing.EXACT
    if _CHOSEN.search(note):
        return Standing.ASSUMED
    measured = row.get("sd") or source.startswith("measured")
    return Standing.MEASURED if measured and how is HowKnown.SEEN else Standing.ESTIMATED

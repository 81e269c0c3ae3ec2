"""What a record is made of, as written in `data/record`: variables with their codes, coded words.

A code is taken only with the row of the facts that holds it. A code of the device nomenclature is
worked out by the partition rule, and says so.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from ullage.core.errors import UnknownReference
from ullage.reference.facts import Fact, fact
from ullage.reference.values import HowKnown

__all__ = [
    "Code",
    "TermRow",
    "VariableRow",
    "loinc_check_digit",
    "record_file",
    "rules_of",
    "species_in",
    "term_lists",
    "variable_rows",
]

_DATA = Path(__file__).parent / "data" / "record"

#: A code of the device nomenclature without its context is its partition times this, plus code10.
_PARTITION = 65_536
#: What a row of the facts says of a code that was itself put together by that rule.
_BY_RULE = "code10 + 131072"


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A code of an open list: its text, its name there, how it is known, the row that holds it."""

    code: str
    how_known: HowKnown
    place: str
    name: str = ""

    @property
    def is_verified(self) -> bool:
        """Fit for export: read, or worked out from what was read; never recalled.

        >>> variable_rows()["pulse_rate"].loinc.is_verified
        False
        """
        return self.how_known in {HowKnown.SEEN, HowKnown.COMPUTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class VariableRow:
    """One thing that is observed: name, kind, units allowed, codes where there are any."""

    key: str
    name: str
    kind: str
    ucum: tuple[str, ...] = ()
    terms: str = ""
    limits: str = ""
    share: bool = False
    unit_place: str = ""
    loinc: Code | None = None
    mdc: Code | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TermRow:
    """One word of a list; words of ours alone have no code."""

    word: str
    scheme: str = ""
    code: str = ""
    meaning: str = ""


@cache
def record_file(name: str) -> Mapping[str, Any]:
    """One file of the record data as written: ``variables``, ``terms`` or ``rules``.

    Raises
    ------
    UnknownReference : no such file.

    >>> record_file("terms")["agent"]["cid"]
    624
    """
    path = _DATA / f"{name}.toml"
    if "/" in name or not path.is_file():
        known = ", ".join(sorted(one.stem for one in _DATA.glob("*.toml")))
        raise UnknownReference(f"No file {name!r} of the record; there are {known}.")
    with path.open("rb") as opened:
        return tomllib.load(opened)


def _row(place: str) -> Fact:
    table, _, key = place.partition(":")
    return fact(table, key)


def _loinc(written: Mapping[str, Any] | None) -> Code | None:
    if written is None:
        return None
    known = _row(written["fact"]).how_known or HowKnown.MEMORY
    return Code(code=written["code"], how_known=known, place=written["fact"])


def _mdc(written: Mapping[str, Any] | None) -> Code | None:
    if written is None:
        return None
    row = _row(written["fact"])
    known = row.how_known or HowKnown.MEMORY
    if known is HowKnown.SEEN and _BY_RULE in row.source:
        known = HowKnown.COMPUTED
    number = written["partition"] * _PARTITION + written["code10"]
    return Code(code=str(number), how_known=known, place=written["fact"], name=written["name"])


@cache
def variable_rows() -> Mapping[str, VariableRow]:
    """Everything that is observed in a case, by key, in the order of the file.

    >>> variable_rows()["heart_rate"].mdc.code
    '147842'
    """
    return {key: _variable(key, one) for key, one in record_file("variables").items()}


def _variable(key: str, one: Mapping[str, Any]) -> VariableRow:
    return VariableRow(
        key=key,
        name=one["name"],
        kind=one["kind"],
        ucum=tuple(one.get("ucum", ())),
        terms=one.get("terms", ""),
        limits=one.get("limits", ""),
        share=one.get("share", False),
        unit_place=one.get("fact", ""),
        loinc=_loinc(one.get("loinc")),
        mdc=_mdc(one.get("mdc")),
    )


@cache
def term_lists() -> Mapping[str, tuple[TermRow, ...]]:
    """The lists of words, by name.

    >>> [one.word for one in term_lists()["jaw"]]
    ['tight', 'some', 'slack']
    """
    return {
        key: tuple(TermRow(**term) for term in one["terms"])
        for key, one in record_file("terms").items()
    }


def species_in(species: str, named: str) -> bool:
    """Whether a species is in a set of the rules; no name and ``any`` hold every species.

    >>> species_in("goat", "ruminants"), species_in("goat", "rodents"), species_in("goat", "")
    (True, False, True)
    """
    return named in {"", "any"} or species in record_file("rules")["species"][named]


def rules_of(kind: str, species: str = "") -> tuple[Mapping[str, Any], ...]:
    """The rules of a kind that apply to a species: ``interval``, ``step`` or ``clock``.

    >>> [one["key"] for one in rules_of("step", "sheep")][:3]
    ['person', 'chest_down', 'head_up']
    """
    return tuple(
        one
        for one in record_file("rules")[kind]
        if species_in(species, one.get("species", ""))
        and not ("but" in one and species_in(species, one["but"]))
    )


def loinc_check_digit(digits: str) -> int:
    """The digit behind the dash of a LOINC code, by doubling every second digit from the right.

    Parameters
    ----------
    digits : what stands before the dash.

    Returns
    -------
    [1] 0 to 9.

    Raises
    ------
    UnknownReference : not digits alone.

    >>> loinc_check_digit("8867"), loinc_check_digit("59408")
    (4, 5)

    Source: records_standards (LN-90: mod 10)
    """
    if not (digits.isascii() and digits.isdigit()):
        raise UnknownReference(f"{digits!r} is not the number of a LOINC code; it is digits alone.")
    doubled = [
        int(one) * 2 if place % 2 == 0 else int(one) for place, one in enumerate(digits[::-1])
    ]
    return -sum(one // 10 + one % 10 for one in doubled) % 10

"""Which codes of open lists go out with a record: only what was read or worked out, never recalled.

Names of lists and their notices stand in the data of the record; a name without a code that is
verified goes out as text alone.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.record.words import MEASURES
from ullage.reference.record import Code, TermRow, record_file, term_lists, variable_rows

__all__ = [
    "coded_word",
    "device_code",
    "loinc_code",
    "notices",
    "system_uri",
    "units_allowed",
    "units_of",
    "without_annotation",
]


def _fit(code: Code | None) -> str:
    return code.code if code is not None and code.is_verified else ""


@cache
def loinc_code(variable: str) -> str:
    """The LOINC code of a variable that is fit for export; empty where there is none.

    >>> loinc_code("heart_rate"), loinc_code("temperature_rectal"), loinc_code("dial")
    ('8867-4', '', '')
    """
    row = variable_rows().get(variable)
    return _fit(row.loinc) if row else ""


@cache
def device_code(variable: str) -> tuple[str, str]:
    """The code of the device nomenclature and its name there; both empty where there is none.

    >>> device_code("end_tidal_sevoflurane"), device_code("temperature")
    (('152096', 'MDC_CONC_AWAY_SEVOFL_ET'), ('', ''))
    """
    row = variable_rows().get(variable)
    code = _fit(row.mdc) if row else ""
    return (code, row.mdc.name) if row and row.mdc and code else ("", "")


@cache
def _words(of: str) -> Mapping[str, TermRow]:
    return {one.word: one for one in term_lists().get(of, ())}


def coded_word(entry: EntryText) -> TermRow | None:
    """The word of a list that an entry says, with its code; None where it has none.

    >>> from datetime import UTC, datetime
    >>> from ullage.answers.record.things import Times
    >>> at = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)
    >>> coded_word(
    ...     EntryText(
    ...         id="a", record="r", order=2, author="S. Vale", kind=EntryKind.SETTING,
    ...         times=Times(observed=at, written=at, received=at), what="agent", typed="isoflurane",
    ...     )
    ... ).code
    '387368002'
    """
    if entry.kind is EntryKind.EVENT:
        found = _words("event").get(entry.what)
    else:
        row = variable_rows().get(entry.what)
        found = _words(row.terms).get(entry.typed) if row and row.terms else None
    return found if found and found.code else None


def system_uri(name: str) -> str:
    """The name space of a list of codes.

    >>> system_uri("mdc")
    'urn:iso:std:iso:11073:10101'
    """
    found: str = record_file("exchange")["system"][name]["uri"]
    return found


def notices() -> dict[str, dict[str, Any]]:
    """The notices that go with the codes, by list, each with how its text is known.

    >>> sorted(notices())
    ['loinc', 'snomed']
    """
    return {key: dict(one) for key, one in record_file("exchange")["notice"].items()}


def without_annotation(unit: str) -> str:
    """A unit as UCUM means it, without what only people read in it.

    >>> without_annotation("{beats}/min"), without_annotation("%{vol}"), without_annotation("{MAC}")
    ('/min', '%', '1')
    """
    bare = unit
    while "{" in bare and "}" in bare.partition("{")[2]:
        before, _, rest = bare.partition("{")
        bare = before + rest.partition("}")[2]
    return bare or ("1" if unit else "")


@cache
def units_of(variable: str) -> frozenset[str]:
    """The whitelist of a variable, with and without annotations; empty for what is no variable."""
    row = variable_rows().get(variable)
    listed = row.ucum if row else ()
    return frozenset([*listed, *(without_annotation(one) for one in listed)])


@cache
def units_allowed() -> frozenset[str]:
    """Every unit that may go out as a code of UCUM."""
    measures = frozenset(unit for allowed in MEASURES.values() for unit in allowed)
    return measures.union(*(units_of(key) for key in variable_rows()))

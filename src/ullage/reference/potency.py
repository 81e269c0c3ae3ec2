"""MAC by species: the default, how well it is known, and every measured value beside it."""

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

from ullage.reference.facts import Fact, fact_rows
from ullage.reference.taken import number_of, numbers_in
from ullage.reference.values import Sourced, Spread, stated, table

__all__ = [
    "AGENTS",
    "Confidence",
    "MacRow",
    "breed_of",
    "lenders",
    "mac_default",
    "mac_measured",
    "mac_species",
    "uptake_mac",
]

#: Agents that a vaporizer or a flowmeter delivers; xenon is data only.
AGENTS = ("isoflurane", "sevoflurane", "desflurane", "halothane", "enflurane", "nitrous oxide")

#: Words in the subject or place of a row that is not of an adult at rest in its own strain.
_NOT_ADULT = re.compile(r"newborn|neonate|\b\d+ d\b|>13 mo|child")


class Confidence(StrEnum):
    """How well a MAC is known, in the words of the fact base."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"
    ESTIMATE = "estimate"
    BORROWED = "borrowed"

    @property
    def words(self) -> str:
        """What stands behind the word."""
        return {
            "high": "an abstract or a label was read",
            "medium": "read, but secondary, derived, inspired or in conflict",
            "low": "known from memory only, not confirmed",
            "estimate": "an estimate without a source",
            "borrowed": "borrowed from another species",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class MacRow:
    """A recommended MAC of one species, and how well it is known."""

    row: Sourced
    species: str
    confidence: Confidence


def _rows_of(agent: str, quantity: str) -> list[Fact]:
    return [
        one
        for one in fact_rows("agents_values")
        if one.quantity == quantity and one.subject.split(", ")[0] == agent
    ]


def _species_of(row: Fact) -> str:
    return row.subject.partition(", ")[2]


@cache
def mac_default(species: str, agent: str) -> MacRow | None:
    """The recommended MAC of an agent in a species; None where the table has none of it.

    >>> cat = mac_default("cat", "sevoflurane")
    >>> cat.row.value, cat.confidence.value
    (3.08, 'high')
    >>> mac_default("guinea pig", "desflurane") is None
    True
    """
    found = next((r for r in _rows_of(agent, "MAC_default") if _species_of(r) == species), None)
    if found is not None:
        word = found.note.removeprefix("confidence ").partition(":")[0].split()[0]
        return MacRow(row=number_of(found), species=species, confidence=Confidence(word))
    measured = mac_measured(species, agent)
    if not measured:
        return None
    confidence = Confidence.HIGH if measured[0].how_known.value == "seen" else Confidence.LOW
    return MacRow(row=measured[0], species=species, confidence=confidence)


@cache
def mac_measured(species: str, agent: str) -> tuple[Sourced, ...]:
    """Every printed or remembered MAC of an adult of the species, those in notes last.

    >>> [one.value for one in mac_measured("mouse", "isoflurane")]
    [1.41, 1.8, 1.23]
    >>> [one.value for one in mac_measured("dog", "desflurane")]
    [7.2, 10.3]
    """
    alone = [one for one in _rows_of(agent, "MAC") if _is_adult_of(one, species)]
    rows = [found for one in alone for found in _each(one)]
    rows += [found for one in _packed() for found in _from_packed(one, species, agent)]
    start = f"noted.{species}.{agent}"
    rows += [
        row
        for key, row in table("potency").items()
        if isinstance(row, Sourced) and (key == start or key.startswith(f"{start}_"))
    ]
    return tuple(rows)


def _is_adult_of(row: Fact, species: str) -> bool:
    """Whether a row is of grown animals of one species, whatever the strain."""
    named = _species_of(row)
    grown = ";" not in named and not _NOT_ADULT.search(named)
    return grown and re.match(rf"{re.escape(species)}\b", named) is not None


def _packed() -> list[Fact]:
    """Rows whose cell holds the values of several species."""
    return [
        one for one in fact_rows("agents_values") if one.quantity == "MAC" and ";" in one.subject
    ]


def _each(row: Fact) -> list[Sourced]:
    """One value, or each of several values in a cell such as ``1.27 and 1.23``."""
    numbers = numbers_in(row.value)
    if len(numbers) < 2 or "-" in row.value:
        return [_with_studies(row)]
    return [number_of(row, part) for part in range(1, len(numbers) + 1)]


def _with_studies(row: Fact) -> Sourced:
    """A review's value keeps the range of the studies that it names."""
    found = number_of(row)
    studies = re.search(r"studies ([\d.]+)-([\d.]+)", row.spread)
    if studies is None:
        return found
    low, high = float(studies[1]), float(studies[2])
    return replace(found, low=low, high=high, spread=Spread.RANGE)


def _from_packed(row: Fact, species: str, agent: str) -> list[Sourced]:
    named_agent, _, several = row.subject.partition(", ")
    names = [one.strip() for one in several.split(";")]
    if named_agent != agent or species not in names:
        return []
    return [number_of(row, names.index(species) + 1)]


@cache
def mac_species(agent: str) -> tuple[str, ...]:
    """The species with a recommended MAC of an agent.

    >>> mac_species("nitrous oxide")
    ('rat', 'dog', 'cat', 'pig', 'horse', 'human')
    """
    found = tuple(_species_of(row) for row in _rows_of(agent, "MAC_default"))
    return found or tuple(dict.fromkeys(_species_of(row) for row in _rows_of(agent, "MAC")))


def lenders(species: str) -> tuple[str, ...]:
    """The species whose MAC may stand in for this one, nearest first; empty for one unknown.

    >>> lenders("guinea pig")[0]
    'hamster'
    """
    key = f"lender.{species}"
    if key not in table("potency"):
        return ()
    return tuple(one.strip() for one in stated("potency", key).text.split(","))


def breed_of(species: str) -> str:
    """The species that a breed belongs to; itself where it is none.

    >>> breed_of("minipig"), breed_of("cat")
    ('pig', 'cat')
    """
    key = f"breed.{species}"
    return stated("potency", key).text if key in table("potency") else species


def uptake_mac(species: str, agent: str) -> Sourced | None:
    """The MAC that the published comparisons were run with; None where they used the default.

    >>> uptake_mac("human", "sevoflurane").value, uptake_mac("pig", "isoflurane")
    (1.85, None)
    """
    row = table("potency").get(f"uptake.{species}.{agent}")
    return row if isinstance(row, Sourced) else None

"""Partition coefficients: what a user gets, and what the published comparisons were run with."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ullage.core.errors import UnknownReference
from ullage.reference.facts import Fact, fact, fact_rows
from ullage.reference.taken import number_of
from ullage.reference.values import Sourced, sourced, table

__all__ = ["TISSUES_OF_TABLE", "ValueSet", "blood_gas", "blood_gas_views", "partition"]

#: The tissue columns of the table in the order of the engine.
TISSUES_OF_TABLE = ("brain", "viscera", "kidney", "muscle", "vessel_poor", "fat", "fat")


class ValueSet(StrEnum):
    """Which values: a user's, a user's with the blood/gas of the labels, or the comparisons' own.

    The blood/gas coefficients of labels and textbooks and those of a larger clinical series differ
    by up to a third; `LABEL` turns the switch to the first.
    """

    USER = "user"
    LABEL = "label"
    UPTAKE = "uptake"


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One printed coefficient with the species it was measured in."""

    row: Sourced
    species: str


@cache
def partition(agent: str, quantity: str, species: str = "human", which: str = "engine") -> Sourced:
    """One coefficient of the table of partition coefficients.

    Raises
    ------
    UnknownReference : no such row.

    >>> partition("isoflurane", "brain_blood").value
    1.57
    """
    found = _rows(agent, quantity, species, which)
    if not found:
        raise UnknownReference(
            f"No {quantity.replace('_', '/')} of {agent} in {species} in the table of partition "
            f"coefficients. Gases: {', '.join(sorted(_gases()))}."
        )
    return number_of(found[0], unit="1")


def _rows(agent: str, quantity: str, species: str, which: str) -> list[Fact]:
    return [
        one
        for one in fact_rows("partition")
        if one.quantity == quantity
        and one.subject == f"{agent}, {species}"
        and one.condition.endswith(f"set={which}")
    ]


@cache
def _gases() -> frozenset[str]:
    return frozenset(one.subject.split(",")[0] for one in fact_rows("partition"))


@cache
def blood_gas(agent: str, species: str, which: ValueSet = ValueSet.USER) -> tuple[Sourced, str]:
    """Blood/gas coefficient of a gas in a species, and the species it was measured in.

    Raises
    ------
    UnknownReference : no such gas.

    >>> blood_gas("isoflurane", "horse")[0].value, blood_gas("isoflurane", "pig")[1]
    (0.92, 'human')
    >>> [blood_gas("desflurane", "rat", one)[0].value for one in ValueSet]
    [0.57, 0.424, 0.45]
    """
    measured = species == "human" or bool(_rows(agent, "blood_gas", species, "engine"))
    of = species if measured or f"blood_gas.{agent}.{species}" in table("solubility") else "human"
    if which is not ValueSet.UPTAKE:
        clinical = of == "human" and which is ValueSet.USER
        for key in (f"clinical.{agent}.human" if clinical else "", f"blood_gas.{agent}.{of}"):
            if key in table("solubility"):
                return sourced("solubility", key), of
    if not measured:
        return partition(agent, "blood_gas"), "human"
    return partition(agent, "blood_gas", of), of


@cache
def blood_gas_views(agent: str) -> tuple[View, ...]:
    """Every printed blood/gas coefficient of a gas, in the order of the table.

    >>> sorted(one.row.value for one in blood_gas_views("desflurane"))
    [0.424, 0.45, 0.53, 0.57]
    """
    rows = [
        one
        for one in fact_rows("partition")
        if one.quantity == "blood_gas" and one.subject.startswith(f"{agent},")
    ]
    return tuple(
        View(
            row=number_of(fact("partition", one.key), unit="1"), species=one.subject.split(", ")[1]
        )
        for one in rows
    )

"""Drugs that spare an agent: which dose of which drug was studied in which species."""

from dataclasses import dataclass
from functools import cache

from ullage.reference.values import Sourced, table

__all__ = ["Sparing", "sparing_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sparing:
    """One studied dose: the share of MAC that it takes off, 0 to 1 by its row in per cent."""

    name: str
    species: str
    agent: str
    dose: str
    row: Sourced
    by_means: Sourced | None = None

    @property
    def reduction(self) -> float:
        """[1] share of MAC taken off."""
        return abs(self.row.value) / 100.0


@cache
def sparing_of(species: str) -> tuple[Sparing, ...]:
    """Every studied dose in a species, in the order of the table.

    >>> [one.dose for one in sparing_of("horse")]
    ['lidocaine 1.3 mg/kg + 50 ug/kg/min']
    """
    start = f"sparing.{species}."
    found = []
    for key, row in table("potency").items():
        if key.startswith(start) and isinstance(row, Sourced):
            agent, _, name = key.removeprefix(start).partition(".")
            means = table("potency").get(key.replace("sparing.", "sparing_by_means.", 1))
            found.append(
                Sparing(
                    name=name,
                    species=species,
                    agent=agent,
                    dose=row.condition,
                    row=row,
                    by_means=means if isinstance(means, Sourced) else None,
                )
            )
    return tuple(found)

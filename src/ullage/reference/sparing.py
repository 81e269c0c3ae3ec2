"""What was studied to change a MAC: doses of drugs, and stages of life, by species."""

from dataclasses import dataclass
from functools import cache

from ullage.reference.values import Sourced, table

__all__ = ["Sparing", "Stage", "sparing_of", "stages_of"]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One studied stage of life: its MAC over that of the adults of the same study."""

    name: str
    species: str
    agent: str
    told: str
    ratio: float
    row: Sourced


@cache
def stages_of(species: str, agent: str) -> tuple[Stage, ...]:
    """Every stage of life in which the MAC of an agent was studied, in the order of the table.

    >>> [(one.name, round(one.ratio, 2)) for one in stages_of("rat", "isoflurane")]
    [('2_days', 1.66), ('9_days', 2.09), ('30_days', 1.49)]
    """
    rows, start = table("potency"), f"stage.{species}.{agent}."
    found = []
    for key, row in rows.items():
        if key.startswith(start) and isinstance(row, Sourced):
            name = key.removeprefix(start)
            ratio = row.value
            if row.unit != "1":
                study = "old" if name == "old" else "days"
                adult = rows[f"stage_adult.{species}.{agent}.{study}"]
                ratio = row.value / adult.value if isinstance(adult, Sourced) else 1.0
            found.append(
                Stage(
                    name=name,
                    species=species,
                    agent=agent,
                    told=row.condition,
                    ratio=ratio,
                    row=row,
                )
            )
    return tuple(found)

"""Limits of agent in the air of a workplace: body, country, year and kind, side by side."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

from ullage.core.errors import UnknownReference
from ullage.core.exposure import vapour_mg_m3, vapour_ppm
from ullage.core.units import kelvin
from ullage.reference.values import Sourced, Stated, raw_table, row_from, sourced

__all__ = ["ExposureLimit", "LimitKind", "exposure_limit", "exposure_limits", "no_limit_words"]

_TABLE = "exposure_limits"


class LimitKind(StrEnum):
    """What a limit speaks of."""

    CEILING = "ceiling"
    SHORT = "short"
    TASK = "task"
    DAY = "day"

    @property
    def words(self) -> str:
        """How it is said beside the number."""
        return {
            "ceiling": "ceiling, sampled over at most 1 h",
            "short": "mean of 15 min",
            "task": "mean of the time that it is given",
            "day": "mean of 8 h",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureLimit:
    """One limit: who set it, where, when, of what kind, for which agents, and its row.

    ``row`` holds the number as printed, in ppm or mg/m³. ``year`` and ``force`` (law, custom) are
    empty where the source does not say.
    """

    key: str
    body: str
    country: str
    year: str
    kind: LimitKind
    agents: tuple[str, ...]
    force: str
    reference_k: float
    row: Sourced

    def level_ppm(self, agent: str) -> float:
        """The limit of an agent [ppm], at the temperature of its own table.

        >>> round(exposure_limit("netherlands").level_ppm("isoflurane"), 1)
        19.9
        """
        if self.row.unit == "ppm":
            return self.row.value
        return vapour_ppm(self.row.value, _molar_mass(agent), self.reference_k)

    def mass_mg_m3(self, agent: str) -> float:
        """The limit of an agent [mg/m³], at the temperature of its own table.

        >>> round(exposure_limit("uk_wel").mass_mg_m3("isoflurane"))
        383
        """
        if self.row.unit == "mg/m³":
            return self.row.value
        return vapour_mg_m3(self.row.value, _molar_mass(agent), self.reference_k)

    @property
    def words(self) -> str:
        """Who, when and what kind, in one line."""
        year = f", {self.year}" if self.year else ""
        force = f", {self.force}" if self.force else ""
        return f"{self.body}{year}: {self.kind.words}{force}"


def _molar_mass(agent: str) -> float:
    return sourced("agents", f"{agent}.molar_mass_g_mol").value


@cache
def _all() -> Mapping[str, ExposureLimit]:
    rows = raw_table(_TABLE).items()
    return {key: _limit(key, written) for key, written in rows if "body" in written}


def _limit(key: str, written: Mapping[str, Any]) -> ExposureLimit:
    unit = "ppm" if "ppm" in written else "mg_m3"
    row = row_from(f"{key}.{unit}", written[unit])
    if not isinstance(row, Sourced):
        raise UnknownReference(f"The limit {key!r} is not a number.")
    return ExposureLimit(
        key=key,
        body=written["body"],
        country=written["country"],
        year=written["year"],
        kind=LimitKind(written["kind"]),
        agents=tuple(written["agents"]),
        force=written["force"],
        reference_k=kelvin(float(written["celsius"])),
        row=row,
    )


def exposure_limits(agent: str, country: str = "") -> tuple[ExposureLimit, ...]:
    """Every limit of an agent; those of a country stand first.

    >>> [one.key for one in exposure_limits("isoflurane", "GB")][0]
    'uk_wel'
    """
    found = [one for one in _all().values() if agent in one.agents]
    return tuple(sorted(found, key=lambda one: one.country != country))


def exposure_limit(key: str) -> ExposureLimit:
    """One limit by its key.

    Raises
    ------
    UnknownReference : no such limit.

    >>> exposure_limit("california_isoflurane").row.value
    2.0
    """
    found = _all().get(key)
    if found is None:
        raise UnknownReference(f"No limit {key!r}. Limits: {', '.join(sorted(_all()))}.")
    return found


def no_limit_words() -> tuple[Stated, ...]:
    """What must be said about bodies without a limit."""
    rows = raw_table(_TABLE)["without"].items()
    found = (row_from(f"without.{key}", written) for key, written in rows)
    return tuple(one for one in found if isinstance(one, Stated))

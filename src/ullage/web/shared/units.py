"""The units people at a site think in."""

from typing import Protocol

from ullage.core.units import KINDS

__all__ = ["Speaks", "unit_at"]

#: What is shown where the site has no choice of its own.
_USUAL = {
    "flow": "L/min",
    "volume": "L",
    "mass": "kg",
    "time": "min",
    "length": "m",
    "room volume": "m³",
    "rate": "/h",
    "share": "%",
}


class Speaks(Protocol):
    """Anything that says its units; a site does."""

    pressure_unit: str
    temperature_unit: str


def unit_at(site: Speaks, kind: str) -> str:
    """The unit a site reads and writes a kind of quantity in."""
    if kind == "pressure":
        return site.pressure_unit
    if kind in {"temperature", "temperature step"}:
        return site.temperature_unit
    return _USUAL.get(kind) or next(iter(KINDS[kind]))

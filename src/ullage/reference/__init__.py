"""Sourced values: each with unit, band, standing, source, place and how it is known."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from ullage.reference.values import (
    Band,
    HowKnown,
    Row,
    Source,
    Sourced,
    Spread,
    Standing,
    Stated,
    sourced,
    sources,
    stated,
    table,
    tables,
)

if TYPE_CHECKING:
    from ullage.reference.cylinders import CylinderSize as CylinderSize
    from ullage.reference.cylinders import cylinder_size as cylinder_size
    from ullage.reference.cylinders import cylinder_sizes as cylinder_sizes
    from ullage.reference.cylinders import letter_traps as letter_traps
    from ullage.reference.identify import Candidate as Candidate
    from ullage.reference.identify import identify_cylinder as identify_cylinder

__all__ = [
    "Band",
    "Candidate",
    "CylinderSize",
    "HowKnown",
    "Row",
    "Source",
    "Sourced",
    "Spread",
    "Standing",
    "Stated",
    "cylinder_size",
    "cylinder_sizes",
    "identify_cylinder",
    "letter_traps",
    "sourced",
    "sources",
    "stated",
    "table",
    "tables",
]

#: Names that are loaded when they are asked for: a cold start needs few of them.
_HOMES = {
    "Candidate": "identify",
    "CylinderSize": "cylinders",
    "cylinder_size": "cylinders",
    "cylinder_sizes": "cylinders",
    "identify_cylinder": "identify",
    "letter_traps": "cylinders",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)  # what Python itself expects of a module
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

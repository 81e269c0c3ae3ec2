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
    from ullage.reference.facts import Count as Count
    from ullage.reference.facts import Fact as Fact
    from ullage.reference.facts import counts as counts
    from ullage.reference.facts import fact as fact
    from ullage.reference.facts import fact_rows as fact_rows
    from ullage.reference.facts import fact_tables as fact_tables
    from ullage.reference.finding import all_tables as all_tables
    from ullage.reference.finding import search as search
    from ullage.reference.finding import value_counts as value_counts
    from ullage.reference.identify import NO_CANDIDATE as NO_CANDIDATE
    from ullage.reference.identify import Candidate as Candidate
    from ullage.reference.identify import identify_cylinder as identify_cylinder
    from ullage.reference.side_by_side import Conflict as Conflict
    from ullage.reference.side_by_side import Disagreement as Disagreement
    from ullage.reference.side_by_side import conflict as conflict
    from ullage.reference.side_by_side import conflicts as conflicts
    from ullage.reference.side_by_side import disagreements as disagreements

__all__ = [
    "NO_CANDIDATE",
    "Band",
    "Candidate",
    "Conflict",
    "Count",
    "CylinderSize",
    "Disagreement",
    "Fact",
    "HowKnown",
    "Row",
    "Source",
    "Sourced",
    "Spread",
    "Standing",
    "Stated",
    "all_tables",
    "conflict",
    "conflicts",
    "counts",
    "cylinder_size",
    "cylinder_sizes",
    "disagreements",
    "fact",
    "fact_rows",
    "fact_tables",
    "identify_cylinder",
    "letter_traps",
    "search",
    "sourced",
    "sources",
    "stated",
    "table",
    "tables",
    "value_counts",
]

#: Names that are loaded when they are asked for: a cold start needs few of them.
_HOMES = {
    "NO_CANDIDATE": "identify",
    "Candidate": "identify",
    "Conflict": "side_by_side",
    "Count": "facts",
    "CylinderSize": "cylinders",
    "Disagreement": "side_by_side",
    "Fact": "facts",
    "all_tables": "finding",
    "conflict": "side_by_side",
    "conflicts": "side_by_side",
    "counts": "facts",
    "cylinder_size": "cylinders",
    "cylinder_sizes": "cylinders",
    "disagreements": "side_by_side",
    "fact": "facts",
    "fact_tables": "facts",
    "fact_rows": "facts",
    "identify_cylinder": "identify",
    "letter_traps": "cylinders",
    "search": "finding",
    "value_counts": "finding",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)  # what Python itself expects of a module
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

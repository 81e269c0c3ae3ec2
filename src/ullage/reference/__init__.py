"""Sourced values: each with unit, band, standing, source, place and how it is known."""

from ullage.reference.values import (
    HowKnown,
    Source,
    Sourced,
    Standing,
    sourced,
    sources,
    table,
    tables,
)

__all__ = [
    "HowKnown",
    "Source",
    "Sourced",
    "Standing",
    "sourced",
    "sources",
    "table",
    "tables",
]

"""Formulas and reference values to read, search and run; no tables of its own."""

__all__: list[str] = []

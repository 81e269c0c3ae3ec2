"""Machines and their parts, as far as the supply needs them."""

__all__: list[str] = []

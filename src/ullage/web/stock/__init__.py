"""Consumables and storage: what is there, what is used, what to order."""

__all__: list[str] = []

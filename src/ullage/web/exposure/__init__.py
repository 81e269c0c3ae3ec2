"""Waste gas: what people in the room breathe."""

__all__: list[str] = []

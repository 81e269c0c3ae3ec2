"""Stock: use, lead times and when to reorder."""

__all__: list[str] = []

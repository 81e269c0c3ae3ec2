"""Pages of waste gas."""

__all__: list[str] = []

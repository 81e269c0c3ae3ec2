"""Pages of the supply app."""

__all__: list[str] = []

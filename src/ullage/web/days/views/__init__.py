"""Pages of the days app."""

__all__: list[str] = []

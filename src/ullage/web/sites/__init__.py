"""Places, their settings, rooms and members."""

__all__: list[str] = []

"""Cases of a day, the day plan and the Today board."""

__all__: list[str] = []

"""To be filled."""

__all__: list[str] = []

"""What people type about a case."""

__all__: list[str] = []

"""Who may sign in."""

__all__: list[str] = []

"""Pages of checks: one check, those of a machine, the lists and the limits."""

__all__: list[str] = []

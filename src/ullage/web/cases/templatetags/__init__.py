"""Words of the pages of a case."""

__all__: list[str] = []

"""Pages: what people see and touch."""

__all__: list[str] = []

"""Who did what and when, beside the records: lines that are only ever added."""

__all__: list[str] = []

"""What all pages share: base template, answer template, charts, print."""

__all__: list[str] = []

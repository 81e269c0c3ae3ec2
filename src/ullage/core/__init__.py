"""Physics and physiology from plain numbers; no clock, file, database or dice."""

__all__: list[str] = []

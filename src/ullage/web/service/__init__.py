"""Service and calibration: intervals, output tests, certificates, what is due."""

__all__: list[str] = []

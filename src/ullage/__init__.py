"""Ullage: what is left, how long it lasts, and whether you may begin."""

__all__ = ["__version__"]

__version__ = "0.1.0"

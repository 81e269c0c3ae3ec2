"""Checks: lists, runs, steps and what they found."""

__all__: list[str] = []

"""Filters of the records app."""

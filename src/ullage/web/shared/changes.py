"""What is said of a row and differs from it: written, and handed back for a log."""

from collections.abc import Mapping
from typing import Any

from django.db.models import Model

__all__ = ["plain", "plain_row", "write_differing"]


def plain(value: Any) -> Any:
    """A value as a log keeps it: plain ones as they are, a room by its name, a date as text."""
    return value if isinstance(value, (str, int, float, bool, type(None))) else str(value)


def plain_row(row: Mapping[str, Any]) -> dict[str, Any]:
    """Values by name as a log keeps them."""
    return {name: plain(value) for name, value in row.items()}


def write_differing(row: Model, facts: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Write what differs; what it was and what it is now, both empty where nothing does."""
    was = {name: getattr(row, name) for name in facts}
    after = {name: value for name, value in facts.items() if value != was[name]}
    if not after:
        return {}, {}
    for name, value in after.items():
        setattr(row, name, value)
    # A row that is new is written whole.
    row.save(update_fields=None if row.pk is None else list(after))
    return {name: was[name] for name in after}, after

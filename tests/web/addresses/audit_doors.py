"""Addresses of the audit."""

from tests.web.addresses.door import Door

__all__ = ["AUDIT_DOORS"]

AUDIT_DOORS = (
    Door(name="audit:list", what="oversee"),
    Door(name="audit:csv", what="oversee"),
    Door(name="audit:verify", what="oversee", get=None, post=302),
)

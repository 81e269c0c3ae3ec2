"""Addresses of the upkeep."""

from tests.web.addresses.door import Bad, Door, just

__all__ = ["UPKEEP_DOORS"]

UPKEEP_DOORS = (
    Door(name="upkeep:backups", what="manage"),
    Door(
        name="upkeep:rule",
        what="manage",
        post=302,
        typed=just(hour="4", keep_days="30"),
        bad=Bad({"hour": "24", "keep_days": "0"}, "less than or equal to 23"),
    ),
    Door(name="upkeep:backup", what="manage", get=None, post=302),
    Door(name="upkeep:drill", what="manage", get=None, post=302),
)

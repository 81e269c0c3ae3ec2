"""Writes of the upkeep."""

from ullage.web.upkeep.services.backups import backup_if_due, backup_make
from ullage.web.upkeep.services.drills import drill_make
from ullage.web.upkeep.services.restoring import Restored, restore
from ullage.web.upkeep.services.rules import rule_set, run_asked

__all__ = [
    "Restored",
    "backup_if_due",
    "backup_make",
    "drill_make",
    "restore",
    "rule_set",
    "run_asked",
]

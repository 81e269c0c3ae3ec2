"""Upkeep of the installation: backups, restore, drills, health."""

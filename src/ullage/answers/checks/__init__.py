"""Checks as data: lists of steps, limits side by side, and measurements turned into results."""

from ullage.answers.checks.things import (
    Change,
    ChangeKind,
    CheckEntry,
    CheckField,
    CheckList,
    CheckStep,
    Lasts,
    LeftOut,
    Limit,
    MeasureKind,
)

__all__ = [
    "Change",
    "ChangeKind",
    "CheckEntry",
    "CheckField",
    "CheckList",
    "CheckStep",
    "Lasts",
    "LeftOut",
    "Limit",
    "MeasureKind",
]

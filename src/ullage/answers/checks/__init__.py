"""Checks as data: lists of steps, limits side by side, and measurements turned into results."""

from ullage.answers.checks.limits import (
    chosen_limit,
    limit_choices,
    limit_names,
    site_leak_limit,
)
from ullage.answers.checks.lists import (
    check_list,
    list_from_mapping,
    list_to_mapping,
    shipped_lists,
    steps_left_out,
)
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
    "check_list",
    "chosen_limit",
    "limit_choices",
    "limit_names",
    "list_from_mapping",
    "list_to_mapping",
    "shipped_lists",
    "site_leak_limit",
    "steps_left_out",
]

"""Checks as data: lists of steps, limits side by side, and measurements turned into results."""

from ullage.answers.checks.ages import check_covers
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
from ullage.answers.checks.results import check_result
from ullage.answers.checks.steps import absent_here, step_result
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
    "absent_here",
    "check_covers",
    "check_list",
    "check_result",
    "chosen_limit",
    "limit_choices",
    "limit_names",
    "list_from_mapping",
    "list_to_mapping",
    "shipped_lists",
    "site_leak_limit",
    "step_result",
    "steps_left_out",
]

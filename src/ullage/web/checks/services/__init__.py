"""Every write to checks, their lists and their limits."""

from ullage.web.checks.services.history import CheckTold, check_write
from ullage.web.checks.services.lists import limit_choose, limit_write, list_change, list_in_use
from ullage.web.checks.services.runs import (
    Given,
    change_say,
    check_begin,
    check_end,
    check_give_up,
    file_add,
    no_animal_say,
    step_enter,
)

__all__ = [
    "CheckTold",
    "Given",
    "change_say",
    "check_begin",
    "check_end",
    "check_give_up",
    "check_write",
    "file_add",
    "limit_choose",
    "limit_write",
    "list_change",
    "list_in_use",
    "no_animal_say",
    "step_enter",
]

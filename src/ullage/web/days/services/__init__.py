"""Writes of the days app."""

from ullage.web.days.services.ask import day_ask, day_refresh, today_ask
from ullage.web.days.services.case_plan import with_flows
from ullage.web.days.services.cases import (
    CaseFacts,
    PlanFacts,
    case_add,
    case_cancel,
    case_change,
    case_copy,
    case_move,
    case_restore,
    case_take,
    cases_write,
    day_copy,
)
from ullage.web.days.services.running import case_begin, case_end
from ullage.web.days.services.working import day_work

__all__ = [
    "CaseFacts",
    "PlanFacts",
    "case_add",
    "case_begin",
    "case_cancel",
    "case_change",
    "case_copy",
    "case_end",
    "case_move",
    "case_restore",
    "case_take",
    "cases_write",
    "day_ask",
    "day_copy",
    "day_refresh",
    "day_work",
    "today_ask",
    "with_flows",
]

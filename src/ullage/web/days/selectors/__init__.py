"""Reads of the days app: cases of a day, the plan as things, the board, the page, the print."""

from ullage.web.days.models import CaseEvent, CaseState, PlannedCase
from ullage.web.days.selectors.answers import (
    DayAnswers,
    Outlook,
    day_answers,
    day_subject,
    source_outlook,
)
from ullage.web.days.selectors.begun import cases_begun
from ullage.web.days.selectors.board import Board, BoardMachine, board_of
from ullage.web.days.selectors.case_compare import Pair, pairs_of, title_of
from ullage.web.days.selectors.case_plan import CareLine, CasePanel, case_panel, changes_of, plan_of
from ullage.web.days.selectors.case_said import (
    FLAGS,
    PLANNED,
    CaseSaid,
    case_input,
    key_of,
    said_of,
)
from ullage.web.days.selectors.cases import (
    DayBounds,
    bounds_of,
    case_events,
    case_for,
    cases_of,
    day_of,
    days_around,
    today_at,
)
from ullage.web.days.selectors.due import Due, NextStep, due_of, next_of
from ullage.web.days.selectors.page import PlanPage, plan_page, print_data
from ullage.web.days.selectors.plan import day_things
from ullage.web.days.selectors.recorded import Recorded, RecordSaid, recorded, recorded_from
from ullage.web.days.selectors.stored import Stored, stored_of

__all__ = [
    "FLAGS",
    "PLANNED",
    "Board",
    "BoardMachine",
    "CareLine",
    "CaseEvent",
    "CasePanel",
    "CaseSaid",
    "CaseState",
    "DayAnswers",
    "DayBounds",
    "Due",
    "NextStep",
    "Outlook",
    "Pair",
    "PlanPage",
    "PlannedCase",
    "RecordSaid",
    "Recorded",
    "Stored",
    "board_of",
    "bounds_of",
    "case_events",
    "case_for",
    "case_input",
    "case_panel",
    "cases_begun",
    "cases_of",
    "changes_of",
    "day_answers",
    "day_of",
    "day_subject",
    "day_things",
    "days_around",
    "due_of",
    "key_of",
    "next_of",
    "pairs_of",
    "plan_of",
    "plan_page",
    "print_data",
    "recorded",
    "recorded_from",
    "said_of",
    "source_outlook",
    "stored_of",
    "title_of",
    "today_at",
]

"""Reads of the days app: cases of a day, the plan as things, the board, the page, the print."""

from ullage.web.days.models import CaseEvent, CaseState, PlannedCase
from ullage.web.days.selectors.answers import (
    DayAnswers,
    Outlook,
    day_answers,
    day_subject,
    source_outlook,
)
from ullage.web.days.selectors.board import Board, BoardMachine, board_of
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
from ullage.web.days.selectors.stored import Stored, stored_of

__all__ = [
    "Board",
    "BoardMachine",
    "CaseEvent",
    "CaseState",
    "DayAnswers",
    "DayBounds",
    "Due",
    "NextStep",
    "Outlook",
    "PlanPage",
    "PlannedCase",
    "Stored",
    "board_of",
    "bounds_of",
    "case_events",
    "case_for",
    "cases_of",
    "day_answers",
    "day_of",
    "day_subject",
    "days_around",
    "due_of",
    "next_of",
    "plan_page",
    "print_data",
    "source_outlook",
    "stored_of",
    "today_at",
]

"""Which checks there are, what they came to, what they still stand for."""

from ullage.web.checks.models import ChangeSaid, Check, CheckFile, Entry, LimitChoice, ListVersion
from ullage.web.checks.selectors.lists import (
    Line,
    ListLine,
    limit_lines,
    limits_of,
    list_named,
    lists_of,
    shipped_or_own,
    versions_of,
)
from ullage.web.checks.selectors.runs import (
    check_for,
    check_lines,
    checks_of,
    entries_of,
    file_for,
    list_of,
    next_step,
    open_checks,
    says_no_animal,
)
from ullage.web.checks.selectors.stands import changes_of, latest_checks, remarks, standings

__all__ = [
    "ChangeSaid",
    "Check",
    "CheckFile",
    "Entry",
    "LimitChoice",
    "Line",
    "ListLine",
    "ListVersion",
    "changes_of",
    "check_for",
    "check_lines",
    "checks_of",
    "entries_of",
    "file_for",
    "latest_checks",
    "limit_lines",
    "limits_of",
    "list_named",
    "list_of",
    "lists_of",
    "next_step",
    "open_checks",
    "remarks",
    "says_no_animal",
    "shipped_or_own",
    "standings",
    "versions_of",
]

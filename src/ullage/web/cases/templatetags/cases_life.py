"""How the facts and the end of a case are said on its pages."""

from dataclasses import dataclass
from datetime import datetime

from django import template

from ullage.answers import Verdict
from ullage.answers.record.closing import RECOVERY_STEP, AnimalEnd
from ullage.answers.record.printed import entry_name, entry_words
from ullage.answers.record.things import Amendment, EntryText
from ullage.web.cases.forms.start import FACTS
from ullage.web.cases.selectors import KEPT_DAYS, Life

__all__ = ["register"]

register = template.Library()

_BEFORE = (("Machine", "check"), ("Gas", "supply"))
_WORDS = {
    **{fact: label for fact, label, _ in FACTS},
    **KEPT_DAYS,
    "name": "Name",
    "species": "Species",
    "severity": "Actual severity",
    "animals": "Animals",
    "state": "State",
    "started_without": "Started without",
    "override_by": "Who answers for it",
    "override_reason": "Why it could not wait",
    "check": "Machine",
    "supply": "Gas",
    "closed_with": "Closed with this open",
}
#: Said in the first line; a row of its own says no more.
_QUIET = {"number", "machine", "group", "check_verdict", "check_at", "supply_verdict", "supply_at"}


@dataclass(frozen=True, slots=True)
class _Said:
    at: datetime
    author: str
    reason: str
    words: str


@dataclass(frozen=True, slots=True)
class _Before:
    label: str
    value: str
    verdict: str
    at: datetime | None = None


@register.filter
def fact_lines(life: Life) -> list[tuple[str, str]]:
    """Every fact that is asked for, with what was said; then the days of keeping that are known."""
    facts = life.facts
    lines = [("Species", facts.get("species", "")), ("Machine", facts.get("machine", ""))]
    lines += [(label, facts.get(fact, "")) for fact, label, _ in FACTS]
    lines.append(("Actual severity", facts.get("severity", "")))
    lines += [(label, facts[name]) for name, label in KEPT_DAYS.items() if facts.get(name)]
    return lines


@register.filter
def before_lines(life: Life) -> list[_Before]:
    """What was known of machine and gas before it began and when, and without what it did."""
    facts = life.facts
    found = [
        _Before(
            label,
            facts.get(key, ""),
            facts.get(f"{key}_verdict", "") if facts.get(key) else "",
            _moment(facts.get(f"{key}_at", "")),
        )
        for label, key in _BEFORE
    ]
    if facts.get("started_without"):
        why = f"{facts['started_without']} {facts.get('override_by', '')} answered for it:"
        said = facts.get("override_reason", "")
        found.append(_Before("Started without", f"{why} “{said}”", Verdict.LOOK_AGAIN))
    if facts.get("closed_with"):
        why = f"{facts['closed_with']} {facts.get('closed_override_by', '')} answered for it:"
        said = facts.get("closed_override_reason", "")
        found.append(_Before("Closed with this open", f"{why} “{said}”", Verdict.LOOK_AGAIN))
    return found


def _moment(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


@register.filter
def facts_said(life: Life) -> list[_Said]:
    """Each line that said facts, in words: what, when, by whom and why."""
    found = []
    for line in life.standing.opened:
        told = [
            f"{_WORDS.get(name, name)}: {value or 'emptied'}"
            for name, value in line.facts.items()
            if name not in _QUIET
        ]
        found.append(_Said(line.times.received, line.author, line.reason, "; ".join(told)))
    return found


@register.filter
def end_word(end: AnimalEnd) -> str:
    """Whether the recovery of an animal is over, in a word or two."""
    return "Recovered" if end.is_over else "Open"


@register.filter
def entry_named(entry: EntryText) -> str:
    """What an entry is of."""
    return entry_name(entry)


@register.filter
def entry_value(entry: EntryText) -> str:
    """What an entry says, without what it is of."""
    if entry.what == RECOVERY_STEP:
        return f"{entry.typed} {'Met' if entry.details.get('met') == 'yes' else 'Not met'}"
    return entry_words(entry)


@register.filter
def entry_said(entry: EntryText) -> str:
    """An entry in one line."""
    return f"{entry_name(entry)} {entry_value(entry)}".strip()


@register.filter
def line_said(line: EntryText | Amendment) -> str:
    """What was sent, in one line, as far as it can be read."""
    if isinstance(line, EntryText):
        return entry_said(line)
    what = "withdraws an entry" if line.withdrawn else f"corrects an entry to {line.typed}"
    return f"{what}: “{line.reason}”"

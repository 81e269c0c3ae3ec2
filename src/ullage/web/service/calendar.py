"""The due list as iCalendar (RFC 5545): whole-day entries with ids that stay the same."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from icalendar import Alarm, Calendar, Event

from ullage.answers import CAUTION_LINE
from ullage.answers.service import TASKS
from ullage.web.service.selectors import DueLine
from ullage.web.sites.selectors import Site

__all__ = ["calendar_text"]

#: How long before a day a calendar reminds of it.
_REMIND = timedelta(days=-7)


def calendar_text(site: Site, lines: Iterable[DueLine], today: date, now: datetime) -> bytes:
    """A calendar of what is due; what is overdue stands on its own day and says so."""
    whole = Calendar()
    whole.add("prodid", "-//Ullage//Service due//EN")
    whole.add("version", "2.0")
    whole.add("calscale", "GREGORIAN")
    whole.add("method", "PUBLISH")
    whole.add("name", f"Service at {site}")
    whole.add("x-wr-calname", f"Service at {site}")
    whole.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    for line in lines:
        if line.due.due_on is not None:
            whole.add_component(_entry(line, line.due.due_on, today, now))
    return bytes(whole.to_ical())


def _entry(line: DueLine, due_on: date, today: date, now: datetime) -> Event:
    """One task; its id holds from one due date to the next, so that a reader moves it."""
    where = str(line.machine or "store")
    what = f"{line.task}: {line.thing}" if line.is_part else line.task
    entry = Event()
    entry.add("uid", f"{line.thing.code}.{line.due.interval.task}@ullage.invalid")
    entry.add("dtstamp", now)
    entry.add("dtstart", due_on)
    entry.add("dtend", due_on + timedelta(days=1))
    entry.add("summary", f"{'Overdue. ' if due_on < today else ''}{what} ({where})")
    on = f"Due on {due_on.day} {due_on:%B %Y}."
    told = (on, TASKS[line.due.interval.task].todo, *line.answer.reasons, CAUTION_LINE)
    entry.add("description", "\n".join(told))
    entry.add("location", where)
    entry.add("transp", "TRANSPARENT")
    entry.add("categories", ["Service"])
    reminder = Alarm()
    reminder.add("action", "DISPLAY")
    reminder.add("description", what)
    reminder.add("trigger", _REMIND)
    entry.add_component(reminder)
    return entry

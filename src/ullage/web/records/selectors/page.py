"""The page of a record: what is on its paper, read once, each part when it is asked for."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString

from ullage.answers import Answer
from ullage.answers.record.charted import CaseChart, ChartEvent, case_charts, events_numbered
from ullage.answers.record.closing import animals_in
from ullage.answers.record.printed import local_time
from ullage.answers.record.used import used_in
from ullage.web.cases.drawing import chart_svg
from ullage.web.cases.selectors import Life, Record, life_of
from ullage.web.records.models import SignedPaper
from ullage.web.records.paper_tables import amended_rows, event_rows, given_rows, signed_rows
from ullage.web.records.paper_words import Told
from ullage.web.records.selectors.papers import interval_of, papers_due, papers_of

__all__ = ["RecordPage", "record_page"]

type Rows = list[list[str]]


@dataclass(frozen=True)
class RecordPage:
    """One record as its page shows it."""

    life: Life

    @property
    def record(self) -> Record:
        """Whose page it is."""
        return self.life.record

    @cached_property
    def zone(self) -> ZoneInfo:
        """The clock of its place."""
        return ZoneInfo(self.record.site.time_zone)

    @cached_property
    def told(self) -> Told:
        """How it tells times and people."""
        return Told.of(self.life.lines, self.zone)

    @cached_property
    def charts(self) -> list[tuple[str, SafeString]]:
        """Each chart under its title; of a group one for each animal that was watched alone."""
        return list(self._charts())

    def _charts(self) -> Iterator[tuple[str, SafeString]]:
        name = self.record.name
        for animal in animals_in(self.life.lines) or ("",):
            for chart in case_charts(self.life.standing, animal):
                if chart.series or not animal:
                    of = animal or name
                    yield self._title(chart, of), chart_svg(chart, self.zone, of)

    def _title(self, chart: CaseChart, of: str) -> str:
        first = local_time(chart.first, self.zone)
        return f"{of}, {first.day} {first:%B %Y}, boxes of 5 minutes"

    @cached_property
    def _events(self) -> tuple[ChartEvent, ...]:
        return events_numbered(self.life.standing)

    @cached_property
    def given(self) -> Rows:
        """Drugs and fluids: number on the chart, when, what, by whom, marks."""
        return given_rows(self.life.standing, self._events, self.told)

    @cached_property
    def events(self) -> Rows:
        """Events and notes: number on the chart, when, what, by whom, marks."""
        return event_rows(self._events, self.told)

    @cached_property
    def amended(self) -> Rows:
        """Every correction: entry, was, is, by and when, reason."""
        return amended_rows(self.life.standing, self.told)

    @cached_property
    def signed(self) -> Rows:
        """Signatures: name in print, what it means, when, over how many lines."""
        return signed_rows(self.life.lines, self.told)

    @cached_property
    def used(self) -> tuple[Answer, ...]:
        """What it used of gas and agent."""
        return used_in(self.life.seen)

    @cached_property
    def interval(self) -> Answer | None:
        """How often it was to be written down."""
        return interval_of(self.life)

    @cached_property
    def papers(self) -> list[tuple[SignedPaper, str]]:
        """The papers that are kept, each with why it was."""
        due = papers_due(self.life.lines)
        return [(one, due.get(one.count, "")) for one in papers_of(self.record)]

    @cached_property
    def papers_missing(self) -> int:
        """How many papers are due and not made yet."""
        return len(papers_due(self.life.lines)) - len(self.papers)

    @property
    def people(self) -> list[tuple[str, str]]:
        """Initials of the tables, and who they are."""
        return [(short, full) for full, short in self.told.people.items()]

    @property
    def tally(self) -> str:
        """How many of its entries are amended and late, in words."""
        entries = self.life.standing.entries
        amended = sum(one.is_amended for one in entries)
        late = sum(one.is_late for one in entries)
        return f"{len(entries)} entries, {amended} amended, {late} late"


def record_page(record: Record) -> RecordPage:
    """One record with its lines, read from the database once."""
    return RecordPage(life_of(record))

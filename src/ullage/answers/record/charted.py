"""What the chart of a case holds: series, rows, numbered events, each at its real time.

A mark is never moved to the edge of a box, and nothing is drawn that nobody entered. Where a box
holds more values than can be drawn, `boxed` says which one stands and how far the others went.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, UTC, datetime, timedelta
from itertools import chain

from ullage.answers.record.charted_rows import (
    EVER,
    NEVER,
    ROW_TITLES,
    SERIES,
    TEMPERATURES,
    row_order,
    row_title,
)
from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.fluids import FluidNow, fluids_now
from ullage.answers.record.printed import unit_words
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.standing import RecordStanding, Standing
from ullage.answers.record.things import EntryKind
from ullage.answers.record.words import in_unit
from ullage.answers.words import figure
from ullage.reference.record import variable_rows

__all__ = [
    "BEFORE",
    "BOX_MIN",
    "Boxed",
    "CaseChart",
    "ChartClock",
    "ChartEvent",
    "ChartRow",
    "ChartSeries",
    "Mark",
    "boxed",
    "case_charts",
    "events_numbered",
]

#: Width of a box [min], the most that stand side by side, and the longest silence inside a chart.
BOX_MIN = 5
MOST_MIN = 300
_SILENCE_MIN = 120
_LEAST_MIN = 60
_QUARTER_MIN = 15
#: Stands before a setting that was made before the chart began.
BEFORE = "←"
#: What is numbered on the chart and in the list of events.
_NUMBERED = (EntryKind.EVENT, EntryKind.DRUG, EntryKind.TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One entry on the chart: its real time, its value in the unit of the row, its words."""

    at: datetime
    text: str
    value: float | None = None
    is_late: bool = False
    is_amended: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartSeries:
    """What is drawn on the grid: ``key`` names its glyph, ``title`` the variable."""

    key: str
    title: str
    unit: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """A row of words or numbers under the grid; ``by_change``: a value counts until the next."""

    key: str
    title: str
    unit: str
    marks: tuple[Mark, ...]
    by_change: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartEvent:
    """Something that happened, with the number that it has on the chart and in the list."""

    number: int
    standing: Standing

    @property
    def at(self) -> datetime:
        """When it was seen."""
        return self.standing.entry.times.observed


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartClock:
    """What a running case adds: the time now, when something is due, when it ends as planned."""

    now: datetime | None = None
    due: datetime | None = None
    ends: datetime | None = None

    @property
    def times(self) -> tuple[datetime, ...]:
        """Those that there are."""
        return tuple(one for one in (self.now, self.due, self.ends) if one is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseChart:
    """One chart: from the edge of a box to the edge of a box, with all that lies between."""

    first: datetime
    last: datetime
    series: tuple[ChartSeries, ...]
    rows: tuple[ChartRow, ...]
    events: tuple[ChartEvent, ...]
    clock: ChartClock = ChartClock()
    animal: str = ""

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Every mark of every series and row; the mean pressure, which is in both, once."""
        rows = [row.marks for row in self.rows if row.key != "mean"]
        return tuple(chain.from_iterable([*(one.marks for one in self.series), *rows]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxed:
    """What stands for one box: a mark that is drawn, the span of all of them, how many."""

    shown: Mark
    low: float
    high: float
    count: int


def boxed(marks: Iterable[Mark]) -> tuple[Boxed, ...]:
    """One mark for each box of 5 minutes, at its own time.

    Parameters
    ----------
    marks : of one series, by time; those without a number are left out.

    Returns
    -------
    An amended mark stands before a late one, and that before the first of the box; ``low`` and
    ``high`` are of all marks in it, so that none of them goes unseen.
    """
    boxes: dict[int, list[tuple[Mark, float]]] = {}
    for one in marks:
        if one.value is not None:
            number = int(one.at.timestamp() // (BOX_MIN * 60))
            boxes.setdefault(number, []).append((one, one.value))
    return tuple(_one_box(held) for _, held in sorted(boxes.items()))


def _one_box(held: Sequence[tuple[Mark, float]]) -> Boxed:
    shown = max((one for one, _ in held), key=lambda one: (one.is_amended, one.is_late))
    values = [value for _, value in held]
    return Boxed(shown=shown, low=min(values), high=max(values), count=len(held))


def events_numbered(standing: RecordStanding, animal: str = "") -> tuple[ChartEvent, ...]:
    """Events, drugs and free text in the order of time, each with its number.

    Parameters
    ----------
    standing : the record as it stands; withdrawn entries have no number.
    animal : one of a group; the events of the others keep their numbers and are left out.
    """
    told = [one for one in standing.valid if one.entry.kind in _NUMBERED]
    return tuple(
        ChartEvent(number=number, standing=one)
        for number, one in enumerate(told, start=1)
        if _is_of(one, animal)
    )


def _is_of(one: Standing, animal: str) -> bool:
    return not animal or one.entry.animal in {"", animal}


def _has_room(one: Standing) -> bool:
    """Whether a chart can be laid round a time: not at the ends of the calendar."""
    return MINYEAR < one.entry.times.observed.year < MAXYEAR


def case_charts(
    standing: RecordStanding,
    animal: str = "",
    clock: ChartClock = ChartClock(),
) -> tuple[CaseChart, ...]:
    """The charts of a case, each of at most 5 hours; a silence of 2 hours begins another.

    Parameters
    ----------
    standing : the record as it stands.
    animal : one of a group; entries of the whole bench are drawn with its own.
    clock : of a running case.

    Returns
    -------
    In the order of time; none where nothing was entered. An entry in the first or last year of the
    calendar is in the tables alone.

    >>> case_charts(RecordStanding(facts={}, opened=(), entries=(), changes=()))
    ()
    """
    mine = [one for one in standing.valid if _is_of(one, animal) and _has_room(one)]
    events = [one for one in events_numbered(standing, animal) if _has_room(one.standing)]
    drawn = [
        one
        for one in mine
        if one.entry.kind in VARIABLE_KINDS and one.entry.what in variable_rows()
    ]
    times = sorted(
        {one.entry.times.observed for one in drawn}
        | {one.at for one in events}
        | {one.entry.times.observed for one in mine if one.entry.kind is EntryKind.FLUID}
    )
    return tuple(
        CaseChart(
            first=first,
            last=last,
            series=tuple(_series(drawn, first, last)),
            rows=tuple(_rows(standing, drawn, mine, (first, last))),
            events=tuple(one for one in events if first <= one.at < last),
            clock=clock,
            animal=animal,
        )
        for first, last in _spans(times, clock)
    )


def _spans(times: Sequence[datetime], clock: ChartClock) -> Iterator[tuple[datetime, datetime]]:
    """First and last edge of each chart."""
    silence = timedelta(minutes=_SILENCE_MIN)
    clusters: list[list[datetime]] = []
    for at in times:
        if clusters and at - clusters[-1][-1] <= silence:
            clusters[-1].append(at)
        else:
            clusters.append([at])
    for number, held in enumerate(clusters, start=1):
        last = held[-1]
        if number == len(clusters):
            last = max([last, *(one for one in clock.times if one - held[-1] <= silence)])
        yield from _cut(_edge(held[0], BOX_MIN), last)


def _cut(first: datetime, last: datetime) -> Iterator[tuple[datetime, datetime]]:
    """A long stretch in equal parts."""
    whole_min = max((last - first).total_seconds() / 60.0 + 1.0, _LEAST_MIN)
    parts = -int(-whole_min // MOST_MIN)
    quarters = -int(-whole_min // (parts * _QUARTER_MIN))
    step = timedelta(minutes=quarters * _QUARTER_MIN)
    for number in range(parts):
        yield first + number * step, first + (number + 1) * step


def _edge(at: datetime, minutes: int) -> datetime:
    """The edge of a box at or before a time."""
    whole = at.astimezone(UTC).replace(second=0, microsecond=0)
    return whole - timedelta(minutes=whole.minute % minutes)


def _between(
    found: Iterable[Standing], first: datetime, last: datetime
) -> dict[str, list[Standing]]:
    by: dict[str, list[Standing]] = {}
    for one in found:
        if first <= one.entry.times.observed < last:
            by.setdefault(one.entry.what, []).append(one)
    return by


def _series(drawn: Sequence[Standing], first: datetime, last: datetime) -> Iterator[ChartSeries]:
    """What is on the grid of this chart."""
    here = _between(drawn, first, last)
    for key, way in _ways_drawn(drawn).items():
        if way in here:
            unit = variable_rows()[way].ucum[0]
            marks = tuple(_mark(one, unit) for one in here[way])
            title = variable_rows()[way].name
            yield ChartSeries(key=key, title=title, unit=unit_words(unit), marks=marks)


def _mark(one: Standing, unit: str) -> Mark:
    entry = one.entry
    value = entry.value
    text = entry.number or entry.typed.strip()
    if value is not None:
        if entry.unit != unit and in_unit(1.0, entry.unit, unit) != 1.0:
            text = f"{entry.number} {unit_words(entry.unit)}"
        value = in_unit(value, entry.unit, unit)
    return Mark(
        at=entry.times.observed,
        text=text,
        value=value,
        is_late=one.is_late,
        is_amended=one.is_amended,
    )


def _rows(
    standing: RecordStanding,
    drawn: Sequence[Standing],
    mine: Sequence[Standing],
    span: tuple[datetime, datetime],
) -> Iterator[ChartRow]:
    """Rows that are always there, with or without an entry, and those that have one."""
    ways = _ways_drawn(drawn)
    mean = ways.pop("mean", "")
    told = [one for one in drawn if one.entry.what not in {*NEVER, *ways.values()}]
    found = {one.key: one for one in _entered(told, mean, span)}
    if fluids := _fluids(standing, mine, span):
        found["fluids"] = fluids
    for key in EVER:
        if not any(row_order(one) == row_order(key) for one in found):
            title, unit = ROW_TITLES[key]
            found[key] = ChartRow(key=key, title=title, unit=unit, marks=())
    yield from (found[key] for key in sorted(found, key=row_order))


def _entered(
    told: Sequence[Standing], mean: str, span: tuple[datetime, datetime]
) -> Iterator[ChartRow]:
    """The rows that have an entry, or a setting that goes on from before."""
    here = _between(told, *span)
    before = {
        one.entry.what: _since_before(one, span[0])
        for one in told
        if one.entry.times.observed < span[0] and _lasts(one.entry.what)
    }
    for key in variable_rows():
        if key in here or key in before:
            named, held = "mean" if key == mean else key, here.get(key, [])
            rows = _with_sites(named, held) if key in TEMPERATURES else {named: held}
            for name, ones in rows.items():
                yield _row(name, ones, key, before.get(key, ()))


def _ways_drawn(drawn: Iterable[Standing]) -> dict[str, str]:
    """Of several ways to measure one thing, the first that was used in this case."""
    ever = {one.entry.what for one in drawn}
    found = ((key, next((one for one in ways if one in ever), "")) for key, ways in SERIES.items())
    return {key: way for key, way in found if way}


def _with_sites(named: str, held: Sequence[Standing]) -> dict[str, list[Standing]]:
    """Temperatures by the place in which they were taken."""
    sites: dict[str, list[Standing]] = {}
    for one in held:
        site = one.entry.details.get("site", "").strip()
        sites.setdefault(f"{named} {site}".strip(), []).append(one)
    return sites


def _lasts(key: str) -> bool:
    """Whether a value goes on until the next: a setting does, a reading or a sign does not."""
    kinds = {EntryKind.SETTING.value, EntryKind.WARMING.value}
    return variable_rows()[key].kind in kinds or key == "ventilation"


def _since_before(one: Standing, first: datetime) -> tuple[Mark, ...]:
    """What was set before this chart began, at its edge, as words and not as a reading."""
    said = one.entry.number or one.entry.typed.strip()
    return (Mark(at=first, text=f"{BEFORE} {said}"),)


def _row(
    named: str, held: Sequence[Standing], key: str, earlier: tuple[Mark, ...] = ()
) -> ChartRow:
    variable = variable_rows()[key]
    unit = variable.ucum[0] if variable.ucum else ""
    return ChartRow(
        key=named,
        title=row_title(named, variable),
        unit=unit_words(unit),
        marks=(*earlier, *(_mark(one, unit) for one in held)),
        by_change=bool(variable.terms) or variable.kind == EntryKind.SETTING.value,
    )


def _fluids(
    standing: RecordStanding, mine: Sequence[Standing], span: tuple[datetime, datetime]
) -> ChartRow | None:
    """The sum of fluids by each entry of one and by each half hour; rates make it an estimate."""
    kept = [one.entry for one in mine if one.entry.what == "weight" or _is_fluid(one)]
    seen = CaseSeen(facts=standing.facts, entries=tuple(kept))
    given = [one.times.observed for one in kept if one.kind is EntryKind.FLUID]
    first, last = span
    end = min(last, max((one.entry.times.observed for one in mine), default=last))
    halves = [first + timedelta(minutes=30 * number) for number in range(1, 11)]
    moments = sorted({*given, *halves, end})
    marks = tuple(
        _total(at, fluids_now(seen, at))
        for at in moments
        if given and max(first, given[0]) <= at <= end
    )
    title, unit = ROW_TITLES["fluids"]
    return ChartRow(key="fluids", title=title, unit=unit, marks=marks) if marks else None


def _is_fluid(one: Standing) -> bool:
    return one.entry.kind is EntryKind.FLUID


def _total(at: datetime, fluids: Sequence[FluidNow]) -> Mark:
    total_ml = sum(one.given_ml for one in fluids)
    unknown, by_rate = any(one.unknown for one in fluids), any(one.rate for one in fluids)
    before = "at least " if unknown else "≈ " if by_rate and total_ml else ""
    return Mark(at=at, value=total_ml, text=f"{before}{figure(total_ml)}")

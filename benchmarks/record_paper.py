"""How fast the chart of a case is drawn, its record printed, and the records of a whole day."""

from collections.abc import Iterator, Sequence
from importlib import import_module
from time import perf_counter, process_time
from zoneinfo import ZoneInfo

from benchmarks.frame import Figure
from ullage.answers.record.charted import case_charts
from ullage.answers.record.standing import record_standing
from ullage.answers.record.things import AnyLine
from ullage.web.cases.drawing import chart_svg
from ullage.web.records.paper import RecordPaper, record_pdf, record_pdfs

__all__ = ["figures"]

CHART_MS, PDF_S, DAY_S = 40.0, 0.5, 10.0
ENTRIES, DRAWN, PRINTED, DAY = 1200, 30, 9, 40
_SEED = 20_260
_WORLD = import_module("tests.web.records.world")
_ZONE = ZoneInfo("Europe/London")


def figures() -> Iterator[Figure]:
    """Each record has its own entries, so that nothing is found again that was printed before."""
    size = f"{ENTRIES} entries in 4 h"
    yield _chart(size)
    lines = [_WORLD.sheep_case(ENTRIES, _SEED + number) for number in range(PRINTED + 1)]
    worked = process_time()
    times = sorted(_printed_s(one) for one in lines)
    worked = (process_time() - worked) / len(times)
    # The first print of a process also reads the fonts; it is the slowest of them.
    yield Figure(
        name="PDF of a record, median",
        value=times[len(times) // 2],
        limit=PDF_S,
        comparison="<=",
        n=len(times),
        seed=_SEED,
        unit="s",
        note=f"{size}; {times[0]:.2f} to {times[-1]:.2f} s, processor {worked:.2f} s each",
    )
    yield _day(ENTRIES, f"each of {size}")
    yield _day(300, "each of 300 entries")


def _chart(size: str) -> Figure:
    """From lines to drawing, nothing kept from the run before."""
    lines = _WORLD.sheep_case(ENTRIES, _SEED)
    times = []
    for _ in range(DRAWN):
        began = perf_counter()
        for one in case_charts(record_standing(lines)):
            chart_svg(one, _ZONE, "Tansy")
        times.append(1000.0 * (perf_counter() - began))
    times.sort()
    return Figure(
        name="chart of a case, 95th percentile",
        value=times[int(len(times) * 0.95)],
        limit=CHART_MS,
        comparison="<=",
        n=len(times),
        seed=_SEED,
        unit="ms",
        note=f"{size}; median {times[len(times) // 2]:.1f} ms",
    )


def _printed_s(lines: Sequence[AnyLine]) -> float:
    """[s] of one print, the chain being at hand."""
    chain = _WORLD.file_of(list(lines))
    began = perf_counter()
    record_pdf(lines, chain, _about())
    return perf_counter() - began


def _about() -> RecordPaper:
    return RecordPaper(number="2026-0147", site="Fennel Lane", time_zone="Europe/London")


def _day(entries: int, size: str) -> Figure:
    """Forty records one after another, each with its own entries."""
    lines = [_WORLD.sheep_case(entries, _SEED + 100 + number) for number in range(DAY)]
    day = [(one, _WORLD.file_of(one), _about()) for one in lines]
    began, worked = perf_counter(), process_time()
    count = sum(1 for _ in record_pdfs(iter(day), len(day)))
    took, worked = perf_counter() - began, process_time() - worked
    return Figure(
        name=f"{count} records of a day",
        value=took,
        limit=DAY_S,
        comparison="<=",
        n=count,
        seed=_SEED + 100,
        unit="s",
        note=f"{size}; processor {worked:.1f} s",
    )

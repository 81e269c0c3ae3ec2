"""The chart of a case as SVG text: boxes of 5 minutes, entries at their real time, rows, legend.

Numbers stand in attributes and every word goes through escape; colours and dashes come from the
style sheet on a page, and from `on_paper` in print.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise
from statistics import median

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from ullage.answers.record.charted import (
    BOX_MIN,
    Boxed,
    CaseChart,
    ChartRow,
    ChartSeries,
    Mark,
    boxed,
)
from ullage.answers.record.printed import local_time
from ullage.answers.words import figure
from ullage.web.cases.drawing_events import Placed, drawn_events, event_lanes
from ullage.web.cases.drawing_rows import RowDrawn, legend
from ullage.web.cases.glyphs import GLYPHS
from ullage.web.cases.marks import GRID, HEAD, LANE, LEFT, RIGHT, WIDE, Grid, path, text

__all__ = ["chart_label", "chart_names", "chart_svg", "on_paper"]

#: Height of a line of the legend [px].
_KEY = 19.0
_PRESSURES = ("systolic", "diastolic", "mean", "breaths")
#: Ends of the scales; heart rates beyond the last of the left one have a scale of their own.
_LEFT_TOPS, _RIGHT_TOPS = (200.0, 240.0, 320.0), (300.0, 400.0, 500.0, 600.0, 800.0, 1000.0)
_SHARED_TOP = 240.0
_DIVISIONS = 5
#: A value so many times above the middle does not stretch the scale; it is drawn at its edge.
_FAR = 4.0
#: Marks further apart than this are not joined [min].
_JOINED_MIN = 15.0


def chart_svg(chart: CaseChart, zone: tzinfo, of: str = "") -> SafeString:
    """The drawing of one chart with its legend, without a colour of its own.

    ``zone`` is that of the place, ``of`` the name of the animal for the text that is read aloud.
    """
    grid, placed = _grid(chart, zone)
    drawn = {one.key: boxed(one.marks) for one in chart.series}
    rows, low = _rows(grid, chart)
    key = list(legend(chart, grid, drawn, rows))
    parts = [
        *_frame(grid, chart),
        *_now(grid, chart),
        *_lines(grid, chart.series, drawn),
        *_marks(grid, chart.series, drawn),
        *drawn_events(grid, placed),
        *(part for one in rows for part in one.parts()),
        *(part for number, one in enumerate(key) for part in one.parts(low + _KEY * number)),
    ]
    height = low + _KEY * len(key) - 8
    label = escape(chart_label(chart, zone, of))
    # Every word went through escape; the rest is numbers and our own marks.
    return mark_safe(  # noqa: S308  # escaped
        f'<svg class="chart case-chart" viewBox="0 0 {WIDE:.0f} {height:.0f}" role="img" '
        f'aria-label="{label}">{"".join(parts)}</svg>'
    )


def chart_names(chart: CaseChart, zone: tzinfo) -> SafeString:
    """The left edge of `chart_svg` alone: scale, glyphs and names of the rows, at the same places.

    It stays in view beside the drawing where a narrow screen scrolls this sideways.
    """
    grid, _ = _grid(chart, zone)
    rows, low = _rows(grid, chart)
    parts = [
        f'<rect class="names names--edge" width="{LEFT + 14:.0f}" height="{low - 14:.0f}"/>',
        f'<rect class="names" width="{LEFT + 2:.0f}" height="{low - 14:.0f}"/>',
        path("ax", f"M{LEFT + 2:.0f} 0v{low - 14:.0f}"),
        *_scale_left(grid, chart),
        *(part for one in rows for part in one.named()),
    ]
    # Every word went through escape; the rest is numbers and our own marks.
    return mark_safe(  # noqa: S308  # escaped
        f'<svg class="chart case-chart case-names" viewBox="0 0 {LEFT:.0f} {low:.0f}" '
        f'aria-hidden="true">{"".join(parts)}</svg>'
    )


def _grid(chart: CaseChart, zone: tzinfo) -> tuple[Grid, list[Placed]]:
    """Where everything of a chart falls, and its events in their lanes."""
    lanes, placed = event_lanes(chart)
    grid = Grid(
        first=chart.first,
        last=chart.last,
        top_px=HEAD + lanes * LANE + 8,
        left_top=_top(chart, _PRESSURES, _LEFT_TOPS),
        right_top=_right_top(chart),
        zone=zone,
    )
    return grid, placed


def _rows(grid: Grid, chart: CaseChart) -> tuple[list[RowDrawn], float]:
    """Every row under the one before it, and where the legend begins [px]."""
    rows: list[RowDrawn] = []
    low = grid.foot_px + 14
    for row in chart.rows:
        rows.append(RowDrawn(grid, low, row))
        low += rows[-1].height
    return rows, low + 24


#: How the marks look on paper, where no style sheet of a page reaches.
_INK = (
    '<style>text{font:12.5px "Libertinus Serif";fill:#000}.lbl{font-weight:bold}'
    ".row{font-size:12px}.dim{fill:#444}.grid5{stroke:#ccc;stroke-width:.7}"
    ".grid{stroke:#aaa;stroke-width:.9}.ax{stroke:#333;stroke-width:1.2;fill:none}"
    ".ink{stroke:#000;fill:none;stroke-width:1.7;stroke-linecap:round;stroke-linejoin:round}"
    ".open{fill:#fff}.mark{stroke-width:1.4}.read{fill:#000;stroke:#fff;stroke-width:1}"
    ".readl{stroke:#000;stroke-width:1;fill:none}.dotted{stroke-dasharray:1 3}"
    ".ev{stroke:#333;stroke-width:1.2;fill:none}.evf{fill:#222}.evt{fill:#fff;font-weight:bold}"
    ".box{fill:#eee}.now{stroke:#000;stroke-width:2}.due{stroke:#000;stroke-dasharray:4 3}</style>"
)


def on_paper(svg: str) -> str:
    """The drawing with its ink, as a picture of its own."""
    head, _, rest = svg.partition(">")
    return f"{head.replace('<svg', '<svg xmlns="http://www.w3.org/2000/svg"')}>{_INK}{rest}"


def _usual(values: Iterable[float]) -> float:
    """The highest value that is not far beyond the middle of all; 0 of none."""
    held = [one for one in values if one > 0.0]
    if not held:
        return 0.0
    far = _FAR * median(held)
    return max(one for one in held if one <= far)


def _top(chart: CaseChart, keys: Sequence[str], tops: Sequence[float]) -> float:
    """The end of a scale that holds the usual values of some series."""
    highest = max(
        (
            _usual(mark.value or 0.0 for mark in one.marks)
            for one in chart.series
            if one.key in keys
        ),
        default=0.0,
    )
    return next((one for one in tops if highest <= one), tops[-1])


def _right_top(chart: CaseChart) -> float:
    """The end of the scale of heart rates: the left one, while that holds them."""
    left = _top(chart, _PRESSURES, _LEFT_TOPS)
    alone = _top(chart, ("heart_rate",), (left, _SHARED_TOP, *_RIGHT_TOPS))
    return left if alone <= left else max(alone, _RIGHT_TOPS[0])


def _frame(grid: Grid, chart: CaseChart) -> Iterator[str]:
    """Boxes of 5 minutes, heavier at 15 and heaviest at 30, and the scales with their titles."""
    by_look: dict[str, list[str]] = {"grid5": [], "grid": [], "ax": []}
    span = f"{grid.top_px:.1f}V{grid.foot_px:.1f}"
    for number in range(round((grid.last - grid.first) / timedelta(minutes=BOX_MIN)) + 1):
        at = grid.first + timedelta(minutes=BOX_MIN * number)
        minute = local_time(at, grid.zone).minute
        look = "ax" if minute % 30 == 0 else "grid" if minute % 15 == 0 else "grid5"
        by_look[look].append(f"M{grid.x(at):.1f} {span}")
        if _is_named(grid, minute):
            yield text(grid.x(at), 16, grid.clock(at), "lbl", "middle")
    for look, lines in by_look.items():
        yield path(look, "".join(lines))
    ys = [grid.foot_px - GRID * number / _DIVISIONS for number in range(_DIVISIONS + 1)]
    yield path("grid", "".join(f"M{LEFT} {y:.1f}H{RIGHT}" for y in ys))
    yield from _scale(grid, chart, ys)


def _is_named(grid: Grid, minute: int) -> bool:
    """Whether a line has its time above: each quarter where there is room, else each half hour."""
    room = (RIGHT - LEFT) / ((grid.last - grid.first) / timedelta(minutes=15))
    return minute % (15 if room > 46 else 30) == 0


def _scale(grid: Grid, chart: CaseChart, ys: Sequence[float]) -> Iterator[str]:
    yield from _scale_left(grid, chart)
    if grid.is_apart:
        for number, y in enumerate(ys):
            yield text(RIGHT + 6, y + 4, f"{grid.right_top * number / _DIVISIONS:g}")
        yield text(WIDE, grid.top_px - 9, "heart /min", "row dim", "end")


def _scale_left(grid: Grid, chart: CaseChart) -> Iterator[str]:
    """The scale at the left with its units, and what each glyph of the grid is."""
    for number in range(_DIVISIONS + 1):
        y = grid.foot_px - GRID * number / _DIVISIONS
        yield text(LEFT - 7, y + 4, f"{grid.left_top * number / _DIVISIONS:g}", "", "end")
    keys = {one.key for one in chart.series}
    named = ["mmHg"] if keys & {"systolic", "diastolic", "mean"} else []
    if "breaths" in keys or ("heart_rate" in keys and not grid.is_apart):
        named.append("/min")
    yield text(LEFT - 7, grid.top_px - 9, ", ".join(named), "row dim", "end")
    for number, one in enumerate(chart.series):
        y = grid.top_px + 18 + 24 * number
        yield path(GLYPHS[one.key].look, GLYPHS[one.key].at(8, y))
        yield text(20, y + 4, _short(one.key), "row")


def _short(key: str) -> str:
    return {
        "systolic": "pressure, upper",
        "diastolic": "pressure, lower",
        "mean": "pressure, mean",
        "heart_rate": "heart",
        "breaths": "breaths",
    }[key]


def _now(grid: Grid, chart: CaseChart) -> Iterator[str]:
    """The time now with the future tinted, and when the next entry is due."""
    clock = chart.clock
    foot = grid.foot_px
    if clock.now is not None and grid.first <= clock.now <= grid.last:
        x = grid.x(clock.now)
        wide = RIGHT - x
        yield (
            f'<rect class="box" x="{x:.1f}" y="{grid.top_px:.1f}" width="{wide:.1f}" '
            f'height="{GRID:.0f}"/>'
        )
        yield path("now", f"M{x:.1f} {grid.top_px - 6:.1f}V{foot:.1f}")
        yield text(x + 4, grid.top_px + 12, f"now {grid.clock(clock.now)}", "nowt")
    if clock.due is not None and grid.first <= clock.due <= grid.last:
        x = grid.x(clock.due)
        yield path("now due", f"M{x:.1f} {grid.top_px + 16:.1f}V{foot:.1f}")
        yield text(x + 4, grid.top_px + 28, f"due {grid.clock(clock.due)}")


def _lines(
    grid: Grid, series: Iterable[ChartSeries], drawn: dict[str, tuple[Boxed, ...]]
) -> Iterator[str]:
    """Thin lines between marks in sequence, and the span of what is not drawn of a box."""
    for one in series:
        look = GLYPHS[one.key].joined
        if look:
            yield path(look, "".join(_joined(grid, one.key, drawn[one.key])))
        spans = [
            f"M{grid.x(box.shown.at):.1f} {grid.y(box.low, one.key):.1f}"
            f"V{grid.y(box.high, one.key):.1f}"
            for box in drawn[one.key]
            if box.high > box.low
        ]
        yield path("readl", "".join(spans))


def _joined(grid: Grid, key: str, boxes: Sequence[Boxed]) -> Iterator[str]:
    gaps = [(later.shown.at - one.shown.at).total_seconds() for one, later in pairwise(boxes)]
    most = timedelta(seconds=max(60.0 * _JOINED_MIN, 2.0 * median(gaps or [0.0])))
    before: datetime | None = None
    for one in boxes:
        at = one.shown.at
        step = "L" if before is not None and at - before <= most else "M"
        yield f"{step}{grid.x(at):.1f} {grid.y(one.shown.value or 0.0, key):.1f}"
        before = at


def _marks(
    grid: Grid, series: Iterable[ChartSeries], drawn: dict[str, tuple[Boxed, ...]]
) -> Iterator[str]:
    """The glyphs of each series in one path, then what is late, amended or beyond the scale."""
    signs: dict[str, list[str]] = {"late": [], "amended": [], "above": [], "below": []}
    words: list[str] = []
    for one in series:
        paths = []
        for box in drawn[one.key]:
            mark, value = box.shown, box.shown.value or 0.0
            x, y = grid.x(mark.at), grid.y(value, one.key)
            if grid.holds(value, one.key):
                paths.append(GLYPHS[one.key].at(x, y))
            else:
                edge = "above" if value > 0.0 else "below"
                signs[edge].append(GLYPHS[edge].at(x, y))
                words.append(text(x + 7, y + (12 if value > 0.0 else -4), mark.text, "row"))
            _add_signs(signs, mark, x, y)
        yield path(GLYPHS[one.key].look, "".join(paths))
    for key, paths in signs.items():
        yield path(GLYPHS[key].look, "".join(paths))
    yield from words


def _add_signs(signs: dict[str, list[str]], mark: Mark, x: float, y: float) -> None:
    if mark.is_late:
        signs["late"].append(GLYPHS["late"].at(x, y))
    if mark.is_amended:
        signs["amended"].append(GLYPHS["amended"].at(x, y))


def chart_label(chart: CaseChart, zone: tzinfo, of: str = "") -> str:
    """What the chart shows, in words and numbers, for those who hear it."""
    first, last = local_time(chart.first, zone), local_time(chart.last, zone)
    named = f"Chart of {of}" if of else "Chart"
    parts = [f"{named}, {first:%H:%M} to {last:%H:%M}, boxes of 5 minutes"]
    parts += [_range(one) for one in chart.series]
    parts += [_range(row) for row in chart.rows if row.marks and row.key != "mean"]
    missing = [row.title for row in chart.rows if not row.marks]
    if missing:
        parts.append(f"not recorded: {', '.join(missing)}")
    late, amended = _counts(chart)
    parts.append(f"{_many(len(chart.events), 'numbered event')}, {late} late, {amended} amended")
    return f"{'; '.join(parts)}."


def _counts(chart: CaseChart) -> tuple[int, int]:
    """How many entries of the chart are late, and how many amended."""
    late = sum(one.is_late for one in chart.marks) + sum(
        one.standing.is_late for one in chart.events
    )
    amended = sum(one.is_amended for one in chart.marks)
    return late, amended + sum(one.standing.is_amended for one in chart.events)


def _many(count: int, word: str) -> str:
    return f"1 {word}" if count == 1 else f"{count} {word}s"


def _range(one: ChartSeries | ChartRow) -> str:
    values = [mark.value for mark in one.marks if mark.value is not None]
    if not values:
        words = list(dict.fromkeys(mark.text for mark in one.marks))
        return f"{one.title}: {', '.join(words[:4])}{' and more' if len(words) > 4 else ''}"
    low, high = figure(min(values)), figure(max(values))
    span = low if low == high else f"{low} to {high}"
    return f"{one.title} {span} {one.unit}".strip()

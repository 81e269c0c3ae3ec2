"""The rows of words and numbers under the grid of a chart, and its legend."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ullage.answers.record.charted import BEFORE, Boxed, CaseChart, ChartRow, Mark
from ullage.web.cases.glyphs import GLYPHS
from ullage.web.cases.marks import LEFT, RIGHT, ROW, SMALL, WIDE, Grid, path, text

__all__ = ["LegendLine", "RowDrawn", "legend"]

#: Width of a letter of a number and of a word [px].
_DIGIT, _LETTER = 6.8, 6.2
#: Words and settings that lie on each other go into lines of their own, up to so many.
_MOST_LINES = 3
_LINE = 15.0
#: A title longer than this is cut; the table has it in full.
_LONGEST = 22


class RowDrawn:
    """One row: title and unit, what has room as words, ticks for the rest at their real time."""

    def __init__(self, grid: Grid, top_px: float, row: ChartRow) -> None:
        """Place everything; ``height`` tells where the next row begins."""
        self.grid, self.row, self.top_px = grid, row, top_px
        self.ticks: list[float] = []
        self.words: list[str] = []
        self.under = ""
        self.lines = 1
        self._place()

    @property
    def height(self) -> float:
        """[px] from this row to the next."""
        return ROW + _LINE * (self.lines - 1)

    def _place(self) -> None:
        free = [LEFT - 14.0] * (_MOST_LINES if self.row.by_change else 1)
        before = ""
        for mark in self.row.marks:
            said = f"[{mark.text}]" if mark.is_late else mark.text
            left, right = self._span(mark, said)
            line = next((number for number, end in enumerate(free) if left >= end), None)
            repeats = self.row.by_change and said == before and not mark.is_amended
            before = said
            if line is None or repeats:
                self.ticks.append(self.grid.x(mark.at))
                continue
            free[line] = right + 6.0
            self.lines = max(self.lines, line + 1)
            self._say(mark, said, (left, right), self.top_px + ROW - 8 + _LINE * line)

    def _span(self, mark: Mark, said: str) -> tuple[float, float]:
        """Numbers stand with their middle at their time, words begin there; none leaves the row."""
        wide = len(said) * (_LETTER if mark.value is None else _DIGIT)
        left = self.grid.x(mark.at) - (0.0 if mark.value is None else wide / 2)
        left = max(min(left, WIDE - wide), LEFT - 14.0)
        return left, left + wide

    def _say(self, mark: Mark, said: str, span: tuple[float, float], y: float) -> None:
        left, right = span
        if mark.value is None:
            self.words.append(text(left, y, said, "val"))
        else:
            self.words.append(text((left + right) / 2, y, said, "val", "middle"))
        if mark.is_amended:
            self.under += (
                f"M{left:.1f} {y + 2:.1f}H{right:.1f}M{left:.1f} {y + 4.5:.1f}H{right:.1f}"
            )

    def parts(self) -> Iterator[str]:
        """The row as marks."""
        foot = self.top_px + self.height
        yield path("grid", f"M0 {foot:.1f}H{RIGHT}")
        yield from self.named()
        yield path("readl", "".join(f"M{x:.1f} {foot - 4:.1f}v4" for x in self.ticks))
        yield from self.words
        yield path(GLYPHS["amended"].look, self.under)
        if not self.row.marks:
            yield text(LEFT, self.top_px + ROW - 8, "not recorded", "row dim")

    def named(self) -> Iterator[str]:
        """Its title and unit."""
        title = self.row.title
        title = title if len(title) <= _LONGEST else f"{title[: _LONGEST - 1]}…"
        yield text(0, self.top_px + ROW - 8, f"{title} {self.row.unit}".strip(), "lbl row")


#: How far a glyph stands from the line of its words, so that its middle lies on it [px].
_RAISED = {"systolic": -1.0, "diastolic": 7.0, "amended": 15.0}


@dataclass(frozen=True, slots=True)
class LegendLine:
    """One line of the legend: glyphs with their words, from left to right."""

    items: tuple[tuple[float, str, str], ...]

    def parts(self, y: float) -> Iterator[str]:
        """The line as marks."""
        for x, key, words in self.items:
            if key == "event":
                where = f'x="{x:.1f}" y="{y - 11:.1f}"'
                yield f'<rect class="evf" {where} width="14" height="14" rx="7"/>'
            elif key:
                glyph = GLYPHS[key]
                yield path(glyph.look, glyph.at(x + 7, y - _RAISED.get(key, 4.0)))
            yield text(x + (20 if key else 0), y, words, "row")


def legend(
    chart: CaseChart, grid: Grid, drawn: dict[str, tuple[Boxed, ...]], rows: Sequence[RowDrawn]
) -> Iterator[LegendLine]:
    """The legend, broken into lines; it is part of the drawing and goes wherever that goes."""
    line: list[tuple[float, str, str]] = []
    x = 0.0
    has_ticks = any(one.ticks for one in rows)
    for key, words in _items(chart, grid, drawn, has_ticks=has_ticks):
        wide = (20 if key else 0) + len(words) * SMALL + 16
        if line and x + wide > WIDE:
            yield LegendLine(tuple(line))
            line, x = [], 0.0
        line.append((x, key, words))
        x += wide
    yield LegendLine(tuple(line))


def _items(
    chart: CaseChart, grid: Grid, drawn: dict[str, tuple[Boxed, ...]], *, has_ticks: bool
) -> Iterator[tuple[str, str]]:
    for one in chart.series:
        side = ", scale on the right" if one.key == "heart_rate" and grid.is_apart else ""
        yield one.key, f"{one.title}, {one.unit}{side}"
    yield "event", "event, drug or note, numbered in the list"
    yield "late", "late entry"
    yield "amended", "amended entry, both values stay"
    yield from _limits_of(chart, grid, drawn)
    if has_ticks:
        yield "tick", "a value that repeats or has no room; all are in the table"
    said = "".join(mark.text for row in chart.rows for mark in row.marks)
    for sign, words in ((BEFORE, "set before this chart"), ("≈", "estimate: rate times time")):
        if sign in said:
            yield "", f"{sign} {words}"
    yield "", "Boxes of 5 minutes; each entry stands at its own time"


def _limits_of(
    chart: CaseChart, grid: Grid, drawn: dict[str, tuple[Boxed, ...]]
) -> Iterator[tuple[str, str]]:
    """What is drawn otherwise than one by one, on its scale and in its unit."""
    if any(box.count > 1 for boxes in drawn.values() for box in boxes):
        yield "span", "one value per box is drawn, the line spans the others; all are in the table"
    if any(not grid.holds(box.shown.value or 0.0, key) for key in drawn for box in drawn[key]):
        yield "above", "beyond the scale, its number beside it"
    if any(" " in mark.text for one in chart.series for mark in one.marks):
        yield "", "A number with a unit of its own is drawn converted"

"""The curves of a planned case as SVG text: supply, dial, levels; for the wide and narrow page.

Numbers stand in attributes and every word goes through escape; colours come from the style sheet.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import unescape
from math import ceil, floor, log10

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from ullage.answers import Answer, CasePlan, FlowPhase
from ullage.answers.case_supply import CaseSupply
from ullage.answers.case_things import Level, Stretch
from ullage.answers.flow_sides import FlowSide, FlowSides
from ullage.answers.words import clock_text, figure, minutes_text

__all__ = [
    "DialStep",
    "dial_steps",
    "dial_svg",
    "label_of",
    "levels_svg",
    "nice_top",
    "on_paper",
    "supply_svg",
]

#: Width of the drawing and of what is drawn in it, wide and narrow.
_WIDE, _NARROW = (580, 440), (336, 196)
_LEFT = 40.0
#: Room that a figure over a step takes.
_WORD = 36.0


def nice_top(highest: float) -> float:
    """The end of an axis that holds a value: one, two, four or five times a power of ten.

    >>> nice_top(343.0), nice_top(5.3), nice_top(0.0)
    (400.0, 10.0, 1.0)
    """
    if highest <= 0.0:
        return 1.0
    power = 10.0 ** floor(log10(highest))
    return next(float(one * power) for one in (1, 2, 4, 5, 10) if one * power >= highest * 0.999)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where numbers fall on the drawing."""

    top_px: float
    foot_px: float
    right_px: float
    first: float
    last: float
    top: float

    def x(self, at: float) -> float:
        """[px] of a minute."""
        share = (at - self.first) / max(self.last - self.first, 1e-9)
        return round(_LEFT + (self.right_px - _LEFT) * min(max(share, 0.0), 1.0), 1)

    def y(self, value: float) -> float:
        """[px] of an amount, never above the frame."""
        share = min(max(value / self.top, 0.0), 1.0)
        return round(self.foot_px - (self.foot_px - self.top_px) * share, 1)

    def line(self, points: Sequence[tuple[float, float]]) -> str:
        """Points joined, as the data of a path."""
        return "M" + " ".join(f"{self.x(at)} {self.y(value)}" for at, value in points)

    def band(self, points: Sequence[tuple[float, float, float]]) -> str:
        """The area between two ends, as the data of a path."""
        up = [(at, high) for at, _, high in points]
        down = [(at, low) for at, low, _ in reversed(points)]
        return f"{self.line([*up, *down])}z"


def _text(x: float, y: float, words: str, more: str = "") -> str:
    return f'<text x="{x}" y="{y}"{more}>{escape(words)}</text>'


#: How the marks look on paper, where no style sheet of a page reaches.
_INK = (
    '<style>text{font:12px "Libertinus Serif";fill:#000}.lbl{font-weight:bold}'
    ".grid{stroke:#bbb;stroke-width:1}.band{fill:url(#h);stroke:#555;stroke-width:.8}"
    ".pred{stroke:#000;stroke-width:2;stroke-dasharray:7 4;fill:none}"
    ".pred2{stroke:#000;stroke-width:1.6;stroke-dasharray:2 4;fill:none}"
    ".step{stroke:#000;stroke-width:2;fill:none}.keep{fill:#ccc}</style>"
    '<defs><pattern id="h" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><path d="M0 0v6" stroke="#333" stroke-width="1.1"/>'
    "</pattern></defs>"
)


def on_paper(both: str) -> str:
    """The narrow drawing with its ink, as a picture of its own; empty where there is none."""
    _, is_there, narrow = both.rpartition('<svg class="chart ch-n"')
    if not is_there:
        return ""
    head, _, rest = narrow.partition(">")
    return f'<svg xmlns="http://www.w3.org/2000/svg"{head}>{_INK}{rest}'


def label_of(both: str) -> str:
    """The result that a drawing states, in words."""
    return unescape(both.partition('aria-label="')[2].partition('"')[0])


def _both(drawn: Callable[[tuple[int, int], str], str]) -> SafeString:
    """The same drawing for the wide and the narrow page."""
    # Every word went through escape; the rest is numbers and our own marks.
    return mark_safe(drawn(_WIDE, "ch-w") + drawn(_NARROW, "ch-n"))  # noqa: S308  # escaped


def _svg(name: str, size: tuple[float, float], label: str, parts: Iterator[str]) -> str:
    return (
        f'<svg class="chart {name}" viewBox="0 0 {size[0]} {size[1]}" role="img" '
        f'aria-label="{escape(label)}">{"".join(parts)}</svg>'
    )


def _grid(frame: _Frame, title: str, marks: int = 4) -> Iterator[str]:
    """The axis of amounts, its title above it."""
    yield _text(0, round(frame.top_px - 14, 1), title)
    for number in range(marks + 1):
        value = frame.top * number / marks
        y = frame.y(value)
        yield f'<path class="grid" d="M{_LEFT} {y}H{frame.right_px}"/>'
        yield _text(32, y + 4, figure(value) if value else "0", ' text-anchor="end"')


def supply_svg(supply: CaseSupply, name: str) -> SafeString:
    """What the source holds from first gas to the end, with its likely range."""
    if not supply.points:
        return SafeString("")

    def drawn(size: tuple[int, int], kind: str) -> str:
        points = supply.points
        frame = _Frame(
            top_px=24,
            foot_px=178,
            right_px=size[1] + _LEFT,
            first=points[0].at_min,
            last=points[-1].at_min,
            top=nice_top(max(one.high_l for one in points)),
        )
        return _svg(kind, (size[0], 206), _supply_label(supply, name), _supply(frame, supply))

    return _both(drawn)


def _supply_label(supply: CaseSupply, name: str) -> str:
    first, last = supply.points[0], supply.points[-1]
    return (
        f"Contents of {supply.source} during {name}: from {figure(first.middle_l)} litres to "
        f"{figure(last.middle_l)}, likely {figure(last.low_l)} to {figure(last.high_l)}; "
        f"{figure(supply.kept_l or 0.0)} are kept back"
    )


def _supply(frame: _Frame, supply: CaseSupply) -> Iterator[str]:
    points, right = supply.points, frame.right_px
    yield from _grid(frame, "litres left")
    if supply.kept_l:
        y = frame.y(supply.kept_l)
        tall = round(frame.foot_px - y, 1)
        yield f'<rect class="keep" x="{_LEFT}" y="{y}" width="{right - _LEFT}" height="{tall}"/>'
        words = f"kept back, {figure(supply.kept_l)} L"
        yield _text(_LEFT + 8, frame.foot_px - 5, words, ' class="lbl bg"')
    for share, anchor in ((0.0, "start"), (0.5, "middle"), (1.0, "end")):
        at = frame.first + share * (frame.last - frame.first)
        where = f' text-anchor="{anchor}"'
        yield _text(frame.x(at), frame.foot_px + 18, clock_text(at), where)
    band = frame.band([(one.at_min, one.low_l, one.high_l) for one in points])
    yield f'<path class="band" d="{band}"/>'
    highest = [(p.at_min, p.at_highest_l) for p in points if p.at_highest_l is not None]
    if highest:
        yield f'<path class="pred2" d="{frame.line(highest)}"/>'
    yield f'<path class="pred" d="{frame.line([(one.at_min, one.middle_l) for one in points])}"/>'
    yield from _ends(frame, supply, highest)


def _ends(
    frame: _Frame, supply: CaseSupply, highest: Sequence[tuple[float, float]]
) -> Iterator[str]:
    """The words at the end of the lines, kept apart."""
    x, last = frame.right_px + 8, supply.points[-1]
    y = frame.y(last.middle_l)
    yield _text(x, y - 3, "as planned", ' class="lbl"')
    yield _text(x, y + 12, f"{figure(last.middle_l)} L left")
    if highest:
        low = max(frame.y(highest[-1][1]), y + 34)
        yield _text(x, low - 3, "highest rule", ' class="lbl"')
        left = highest[-1][1]
        yield _text(x, low + 12, f"{figure(left)} L left" if left else "runs out")


@dataclass(frozen=True, slots=True, kw_only=True)
class DialStep:
    """The dial from one minute to another, in per cent, with its likely range."""

    start_min: float
    end_min: float
    low: float
    value: float
    high: float
    name: str


def _asleep(plan: CasePlan) -> list[Stretch]:
    """The stretches in which agent is given: one for each dial."""
    return [one for one in plan.stretches if one.phase is not FlowPhase.WAKING]


def dial_steps(plan: CasePlan) -> list[DialStep]:
    """Each dial with its time."""
    return [
        DialStep(
            start_min=stretch.start_min,
            end_min=stretch.end_min,
            low=_or(dial.low, dial),
            value=dial.value or 0.0,
            high=_or(dial.high, dial),
            name=stretch.name,
        )
        for stretch, dial in zip(_asleep(plan), plan.dials, strict=False)
    ]


def _or(end: float | None, answer: Answer) -> float:
    return (answer.value or 0.0) if end is None else end


def dial_svg(plan: CasePlan) -> SafeString:
    """The dial step by step, each with its likely range."""
    steps = dial_steps(plan)
    if not steps:
        return SafeString("")
    told = "; ".join(
        f"{figure(one.value)} % from {minutes_text(one.start_min)}, likely {figure(one.low)} to "
        f"{figure(one.high)}"
        for one in steps
    )

    def drawn(size: tuple[int, int], kind: str) -> str:
        frame = _Frame(
            top_px=28,
            foot_px=140,
            right_px=size[0] - 14.0,
            first=0.0,
            last=steps[-1].end_min,
            top=nice_top(max(one.high for one in steps)),
        )
        return _svg(kind, (size[0], 182), f"Vaporizer dial: {told}", _dials(frame, steps))

    return _both(drawn)


def _dials(frame: _Frame, steps: Sequence[DialStep]) -> Iterator[str]:
    yield from _grid(frame, "dial %")
    yield from _minutes(frame)
    for one in steps:
        x, y = frame.x(one.start_min), frame.y(one.high)
        wide, tall = round(frame.x(one.end_min) - x, 1), round(frame.y(one.low) - y, 1)
        yield f'<rect class="band" x="{x}" y="{y}" width="{wide}" height="{tall}"/>'
    corners = [(at, one.value) for one in steps for at in (one.start_min, one.end_min)]
    yield f'<path class="step" d="{frame.line(corners)}"/>'
    free = 0.0  # where the words before end
    for one in steps:
        middle = (frame.x(one.start_min) + frame.x(one.end_min)) / 2
        if middle - _WORD / 2 >= free:
            free = middle + _WORD / 2
            y = frame.y(one.high) - 5
            where = ' text-anchor="middle" class="lbl bg"'
            yield _text(round(middle, 1), max(y, 12), figure(one.value), where)


def _minutes(frame: _Frame, words: str = "minutes from first gas") -> Iterator[str]:
    """The axis of time in steps that people count in."""
    length = frame.last - frame.first
    step = next((one for one in (5, 10, 20, 30, 60, 120, 240) if length / one <= 6), 480)
    for number in range(ceil(length / step) + 1):
        at = frame.first + number * step
        if at <= frame.last:
            where = ' text-anchor="middle"'
            yield _text(frame.x(at), frame.foot_px + 18, f"{at:.0f}", where)
    if words:
        yield _text(_LEFT, frame.foot_px + 37, words)


_SERIES = (("inspired", "breathed in"), ("end_tidal", "end of a breath"), ("brain", "in the brain"))
_TALL = 108


def levels_svg(plan: CasePlan) -> SafeString:
    """Levels in per cent, one above the other on the same axes, each on its likely range."""
    if not plan.levels:
        return SafeString("")
    top = nice_top(max(max(getattr(one, name)) for one in plan.levels for name, _ in _SERIES))
    last = plan.levels[-1]
    told = "; ".join(
        f"{words} {figure(getattr(last, name)[1])} %, likely {figure(getattr(last, name)[0])} to "
        f"{figure(getattr(last, name)[2])}"
        for name, words in _SERIES
    )
    label = f"Levels when the agent is turned off after {minutes_text(last.at_min)}: {told}"

    def drawn(size: tuple[int, int], kind: str) -> str:
        parts = [
            part
            for number, (name, words) in enumerate(_SERIES)
            for part in _level(plan.levels, (name, words), _frame(size, number, top, last))
        ]
        parts += _minutes(_frame(size, len(_SERIES) - 1, top, last))
        return _svg(kind, (size[0], 3 * _TALL + 34), label, iter(parts))

    return _both(drawn)


def _frame(size: tuple[int, int], number: int, top: float, last: Level) -> _Frame:
    return _Frame(
        top_px=26 + number * _TALL,
        foot_px=26 + number * _TALL + _TALL - 38,
        right_px=size[1] + _LEFT,
        first=0.0,
        last=last.at_min,
        top=top,
    )


def _level(levels: Sequence[Level], series: tuple[str, str], frame: _Frame) -> Iterator[str]:
    name, words = series
    yield from _grid(frame, f"{words}, %", 2)
    rows = [(one.at_min, *getattr(one, name)) for one in levels]
    band = frame.band([(at, low, high) for at, low, _, high in rows])
    yield f'<path class="band" d="{band}"/>'
    yield f'<path class="pred" d="{frame.line([(at, middle) for at, _, middle, _ in rows])}"/>'
    low, middle, high = getattr(levels[-1], name)
    x, y = frame.right_px + 8, frame.y(middle)
    yield _text(x, y + 1, f"{figure(middle)} %", ' class="lbl"')
    yield _text(x, y + 15, f"{figure(low)} to {figure(high)}")


_ROW = 34


def flow_svg(found: FlowSides) -> SafeString:
    """Each rule of fresh gas on a row of its own, the chosen flow and the minute volume."""
    highest = max(found.chosen_l_min, *(one.high_l_min for one in found.sides))
    told = "; ".join(f"{one.label}: {_span(one)}" for one in found.sides)
    label = f"Fresh gas to hold by rule, L/min. Chosen: {figure(found.chosen_l_min)}. {told}"

    def drawn(size: tuple[int, int], kind: str) -> str:
        frame = _Frame(
            top_px=0,
            foot_px=_ROW * (len(found.sides) + 1) + 12.0,
            right_px=size[0] - 24.0,
            first=0.0,
            last=nice_top(highest),
            top=1.0,
        )
        return _svg(kind, (size[0], frame.foot_px + 44), label, _flows(frame, found))

    return _both(drawn)


def _span(side: FlowSide) -> str:
    if side.low_l_min == side.high_l_min:
        return figure(side.l_min)
    return f"{figure(side.low_l_min)} to {figure(side.high_l_min)}"


def _flows(frame: _Frame, found: FlowSides) -> Iterator[str]:
    for number in range(5):
        at = frame.last * number / 4
        x = frame.x(at)
        yield f'<path class="grid" d="M{x} 4V{frame.foot_px}"/>'
        where = ' text-anchor="middle"'
        yield _text(x, frame.foot_px + 16, figure(at) if at else "0", where)
    if found.breath_l_min is not None:
        x = frame.x(found.breath_l_min)
        yield f'<path class="brth" d="M{x} 4V{frame.foot_px + 22}"/>'
        words = f"minute volume {figure(found.breath_l_min)}; below it: rebreathing"
        yield _text(0, frame.foot_px + 38, words, ' class="lbl"')
    x = frame.x(found.chosen_l_min)
    yield f'<circle class="read" cx="{x}" cy="22" r="7"/>'
    yield _beside(frame, (x - 7, x + 7), 26, f"{figure(found.chosen_l_min)} chosen")
    for number, side in enumerate(found.sides, start=1):
        yield from _rule(frame, side, number * _ROW + 6)


def _rule(frame: _Frame, side: FlowSide, top: float) -> Iterator[str]:
    yield _text(_LEFT + 2, top + 10, side.label, ' class="bg"')
    low, high = frame.x(side.low_l_min), frame.x(side.high_l_min)
    wide = round(max(high - low, 3.0), 1)
    yield f'<rect class="band" x="{low}" y="{top + 15}" width="{wide}" height="12"/>'
    yield _beside(frame, (low, low + wide), top + 26, _span(side))


def _beside(frame: _Frame, mark: tuple[float, float], y: float, words: str) -> str:
    """Words behind a mark; before it, where the frame ends."""
    left, right = mark
    if frame.right_px + 24 - right > 7.5 * len(words):
        return _text(round(right + 6, 1), y, words, ' class="lbl bg"')
    return _text(round(left - 6, 1), y, words, ' class="lbl bg" text-anchor="end"')

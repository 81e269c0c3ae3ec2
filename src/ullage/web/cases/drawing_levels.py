"""The levels of a running case as SVG text: expected with their band, measured, where it moved.

Numbers stand in attributes and every word goes through escape; colours come from the style sheet.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from math import ceil

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from ullage.answers.running_things import Expected
from ullage.answers.words import figure
from ullage.web.cases.selectors.levels import CaseLevels

__all__ = ["case_levels_svg"]

#: The whole drawing, and where its frame ends [px]; one size, for the narrow column of the page.
_WIDTH, _RIGHT = 344.0, 284.0
_LEFT, _TOP, _FOOT, _TALL = 30.0, 30.0, 170.0, 200.0
#: Most points of a line: more are closer together than a pixel.
_POINTS = 160
_STEPS_MIN = (10, 15, 30, 60, 120, 240, 480)
_TIMES = 4
#: Multiples of MAC that are marked at the right.
_MULTIPLES = (0.5, 1.0, 1.5, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where minutes and levels fall."""

    first: float
    last: float
    top: float

    def x(self, minute: float) -> float:
        """[px] of a minute of the case, inside the frame."""
        share = (minute - self.first) / max(self.last - self.first, 1e-9)
        return round(_LEFT + (_RIGHT - _LEFT) * min(max(share, 0.0), 1.0), 1)

    def y(self, percent: float) -> float:
        """[px] of a level, at the edge where it lies beyond."""
        share = min(max(percent / self.top, 0.0), 1.0)
        return round(_FOOT - (_FOOT - _TOP) * share, 1)

    def line(self, points: Sequence[tuple[float, float]]) -> str:
        """Points joined, as the data of a path."""
        return "M" + " ".join(f"{self.x(at)} {self.y(value)}" for at, value in points)


def case_levels_svg(levels: CaseLevels, zone: tzinfo, name: str) -> SafeString:
    """The drawing; empty where there is no level."""
    found = levels.found
    if found is None or not levels.curve:
        return SafeString("")
    curve = _thinned(levels.curve)
    read = [one.read for one in found.readings if one.kind == "end-tidal" and one.believed]
    top = _top([*read, *(high for one in curve for high in (one.end_tidal[2], one.inspired[1]))])
    frame = _Frame(first=0.0, last=max(curve[-1].at_min, found.at_min, 1.0), top=top)
    # Every word goes through escape; the rest is numbers and our own marks.
    return mark_safe(  # noqa: S308  # escaped
        f'<svg class="chart" viewBox="0 0 {_WIDTH:.0f} {_TALL:.0f}" role="img" '
        f'aria-label="{escape(_label(levels, name, zone))}">'
        f"{''.join(_parts(frame, levels, curve, zone))}</svg>"
    )


def _thinned(curve: Sequence[Expected]) -> list[Expected]:
    step = max(ceil(len(curve) / _POINTS), 1)
    return [*curve[:-1:step], curve[-1]]


def _top(values: Sequence[float]) -> float:
    highest = max(values, default=1.0)
    return next((one for one in (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0) if highest <= one), 20.0)


def _parts(
    frame: _Frame, levels: CaseLevels, curve: Sequence[Expected], zone: tzinfo
) -> Iterator[str]:
    now = levels.found.at_min if levels.found else 0.0
    yield _words(0, 10, "%")
    if frame.last > now:
        wide = round(_RIGHT - frame.x(now), 1)
        yield f'<rect class="box" x="{frame.x(now)}" y="{_TOP}" width="{wide}" height="140"/>'
    yield from _grid(frame, levels, zone)
    both = [(one.at_min, one.end_tidal[2]) for one in curve]
    both += [(one.at_min, one.end_tidal[0]) for one in reversed(curve)]
    yield f'<path class="band" d="{frame.line(both)}z"/>'
    for look, level in (("insp", "inspired"), ("pred2", "brain"), ("pred", "end_tidal")):
        points = [(one.at_min, getattr(one, level)[1]) for one in curve]
        yield f'<path class="{look}" d="{frame.line(points)}"/>'
    yield from _moved(frame, levels)
    yield from _read(frame, levels)
    yield f'<path class="now" d="M{frame.x(now)} 20V{_FOOT}"/>'
    yield _words(frame.x(now) + 5, 28, "now", "nowt bg")
    if levels.off_min is not None and now < levels.off_min < frame.last:
        x = frame.x(levels.off_min)
        yield f'<path class="ev dash" d="M{x} {_TOP}V{_FOOT}"/>'
        yield _words(x - 4, 42, "dial 0", "bg", "end")


def _grid(frame: _Frame, levels: CaseLevels, zone: tzinfo) -> Iterator[str]:
    """Levels at the left, multiples of MAC at the right, times below."""
    parts = 4 if frame.top % 4 == 0 else 3 if frame.top % 3 == 0 else 2
    for number in range(parts + 1):
        value = frame.top * number / parts
        y = frame.y(value)
        yield f'<path class="grid" d="M{_LEFT} {y}H{_RIGHT}"/>'
        yield _words(22, y + 4, figure(value), "", "end")
    mac = levels.mac.value if levels.mac else None
    if mac:
        yield _words(
            _RIGHT + 8,
            10,
            f"× MAC {figure(mac)} %",
            "",
            "middle",
        )
        for multiple in _MULTIPLES:
            if multiple * mac <= frame.top:
                y = frame.y(multiple * mac)
                yield f'<path class="ax" d="M{_RIGHT} {y}h7"/>'
                yield _words(_RIGHT + 11, y + 4, f"{multiple:g} ×", "lbl")
    yield from _times(frame, levels, zone)


def _times(frame: _Frame, levels: CaseLevels, zone: tzinfo) -> Iterator[str]:
    """Round times of the clock of the place."""
    long = frame.last - frame.first
    step = next((one for one in _STEPS_MIN if long / one <= _TIMES), 720)
    first = levels.at(frame.first).astimezone(zone)
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0)
    minute = ceil((first - midnight) / timedelta(minutes=step)) * step
    while (at := midnight + timedelta(minutes=minute)) <= levels.at(frame.last):
        x = frame.x((at - levels.began) / timedelta(minutes=1))
        yield f'<path class="grid" d="M{x} {_FOOT}v5"/>'
        yield _words(x, _FOOT + 19, f"{at.astimezone(zone):%H:%M}", "", "middle")
        minute += step


def _read(frame: _Frame, levels: CaseLevels) -> Iterator[str]:
    """What was measured: a solid dot; ringed where it cannot be believed."""
    for one in levels.found.readings if levels.found else ():
        if one.kind != "end-tidal":
            continue
        x, y = frame.x(one.at_min), frame.y(one.read)
        yield f'<circle class="read" cx="{x}" cy="{y}" r="5.5"/>'
        if not one.believed or one.read > frame.top:
            yield f'<circle class="odd" cx="{x}" cy="{y}" r="9"/>'


def _moved(frame: _Frame, levels: CaseLevels) -> Iterator[str]:
    """Where it moved: the level held on as a dashed rule, and a line down to the words."""
    for one in levels.moved[:1]:
        x, y = frame.x(one.level.at_min), frame.y(one.level.level)
        yield f'<path class="held" d="M{x} {y}H{_RIGHT}"/>'
        yield f'<path class="ev" d="M{x} {y}V{_FOOT - 14}"/>'
        anchor = "end" if x > 0.7 * _RIGHT else "middle" if x > _LEFT + 40 else "start"
        yield _words(x, _FOOT - 4, "moved here", "lbl bg", anchor)


def _words(x: float, y: float, words: str, look: str = "", anchor: str = "") -> str:
    looks = f' class="{look}"' if look else ""
    where = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text x="{round(x, 1)}" y="{round(y, 1)}"{looks}{where}>{escape(words)}</text>'


def _label(levels: CaseLevels, name: str, zone: tzinfo) -> str:
    found = levels.found
    if found is None:
        return ""
    level = found.answers["end_tidal"]
    count = sum(one.kind == "end-tidal" for one in found.readings)
    moved = "".join(
        f"; moved at {_clock(one.at, zone)} with {figure(one.level.level)} percent"
        for one in levels.moved
    )
    return (
        f"Expected end-tidal {found.case.subject.agent} of {name} until "
        f"{_clock(levels.at(levels.end_min), zone)}: {figure(level.value or 0.0)} percent now, "
        f"likely {figure(level.low or 0.0)} to {figure(level.high or 0.0)}; "
        f"{count} measured{moved}; scale on the right in multiples of MAC"
    )


def _clock(at: datetime, zone: tzinfo) -> str:
    return f"{at.astimezone(zone):%H:%M}"

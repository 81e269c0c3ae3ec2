"""Charts drawn on the server: Altair in, themed SVG out; the page's own style sheet colours them.

Each layer has a name; the drawing carries it as the class ``<name>_marks``, and nothing else
decides how a layer looks. Times are drawn on the clock of the place: give them local and naive.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from html import escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import altair

__all__ = ["GaugeChart", "GaugeEvent", "GaugeExpected", "GaugeReading", "gauge_chart", "themed"]

_VEGA_LITE = "6.4"

#: What Vega writes into a drawing that our style sheet or our content policy does not want.
_UNWANTED = re.compile(
    r' (?:font-family|font-size|font-weight|opacity|style|xmlns:xlink)="[^"]*"'
    r'| aria-roledescription="[^"]*"| role="graphics-[a-z]+"| pointer-events="none"'
)
#: Words that Vega hides because they would run into each other.
_HIDDEN = re.compile(r'<text [^>]*opacity="0"[^>]*>[^<]*</text>')
_LABELS = re.compile(r' aria-label="[^"]*"')


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeExpected:
    """What the gauge was expected to show at a time, with its likely range."""

    at: datetime
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeReading:
    """What a person read; late, amended and out of range each have their own shape."""

    at: datetime
    value: float
    is_late: bool = False
    is_amended: bool = False
    is_odd: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeEvent:
    """Something that happened, as a number that the list beside the chart explains."""

    at: datetime
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeChart:
    """Readings of one gauge against what was expected; ``label`` states the result in words."""

    unit: str
    label: str
    readings: tuple[GaugeReading, ...]
    expected: tuple[GaugeExpected, ...] = ()
    events: tuple[GaugeEvent, ...] = ()
    kept_back: float | None = None
    width: int = 300
    height: int = 170


def gauge_chart(asked: GaugeChart) -> str:
    """The drawing of a gauge chart as SVG text, without a colour of its own."""
    import altair as alt

    layers = [
        *_kept_back(alt, asked),
        *_expected(alt, asked),
        *_events(alt, asked),
        *_readings(alt, asked),
    ]
    whole = alt.layer(*layers).properties(width=asked.width, height=asked.height)
    whole = whole.configure_view(stroke=None).configure(background="transparent")
    return themed(whole.to_dict(validate=False), asked.label)


def themed(spec: dict[str, Any], label: str) -> str:
    """A Vega-Lite drawing as SVG that scales, names its result and leaves colour to the page."""
    import vl_convert

    drawn = _HIDDEN.sub("", vl_convert.vegalite_to_svg(spec, vl_version=_VEGA_LITE))
    drawn = _UNWANTED.sub("", drawn)
    drawn = _LABELS.sub("", drawn)
    head, _, rest = drawn.partition(">")
    box = re.search(r'viewBox="[^"]*"', head)
    opened = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="chart" {box.group() if box else ""} '
        f'role="img" aria-label="{escape(label)}"'
    )
    return f"{opened}>{rest}"


def _lowest(asked: GaugeChart) -> float:
    """Where the axis starts: at zero, unless the readings stay in the upper half."""
    values = [one.value for one in asked.readings] + [one.low for one in asked.expected]
    least, most = min(values, default=0.0), max(values, default=1.0)
    return 0.0 if least < most / 2 else least - (most - least) * 0.25 - most * 0.02


def _x(alt: Any, asked: GaugeChart) -> Any:
    times = [one.at for one in asked.readings] + [one.at for one in asked.expected]
    first = min(times, default=datetime(2000, 1, 1))  # noqa: DTZ001  # local and naive by design
    last = max(times, default=first)
    room = max((last - first) / 25, timedelta(minutes=10))
    return alt.X(
        "at:T",
        title=None,
        scale=alt.Scale(type="utc", domain=[_stamp(first - room), _stamp(last + room)], nice=False),
        axis=alt.Axis(
            format=_clock_format(last - first),
            tickCount=4,
            labelFlush=False,
            labelOverlap="greedy",
            labelSeparation=16,
            labelFontSize=13,
        ),
    )


def _clock_format(spread: timedelta) -> str:
    if spread < timedelta(days=2):
        return "%H:%M"
    return "%a %-d" if spread < timedelta(days=12) else "%-d %b"


def _y(alt: Any, asked: GaugeChart, field: str) -> Any:
    scale = alt.Scale(domainMin=_lowest(asked), zero=False, nice=_lowest(asked) == 0.0)
    axis = alt.Axis(
        title=asked.unit,
        titleAngle=0,
        titleAlign="left",
        titleAnchor="end",
        titleX=-34,
        titleY=-12 if not asked.events else -16,
        tickCount=5,
        format="~g",
    )
    return alt.Y(f"{field}:Q", scale=scale, axis=axis)


def _stamp(at: datetime) -> str:
    return at.strftime("%Y-%m-%dT%H:%M:%SZ")


def _data(alt: Any, rows: Iterable[Any]) -> "altair.Chart":
    kept = [{**asdict(row), "at": _stamp(row.at)} for row in rows]
    chart: altair.Chart = alt.Chart(alt.InlineData(values=kept))
    return chart


def _expected(alt: Any, asked: GaugeChart) -> Sequence[Any]:
    if not asked.expected:
        return ()
    base = _data(alt, asked.expected).encode(x=_x(alt, asked))
    # Altair takes colour names only; the drawing is not validated, the pattern is in the page.
    band = base.mark_area().encode(y=_y(alt, asked, "low"), y2="high:Q").properties(name="band")
    line = base.mark_line().encode(y=_y(alt, asked, "middle")).properties(name="pred")
    return band, line


def _readings(alt: Any, asked: GaugeChart) -> Sequence[Any]:
    def base(rows: Iterable[GaugeReading]) -> Any:
        return _data(alt, rows).encode(x=_x(alt, asked), y=_y(alt, asked, "value"))

    every = asked.readings
    layers = [base(every).mark_line().properties(name="readl")]
    odd = [one for one in every if one.is_odd]
    if odd:
        layers.append(base(odd).mark_point(size=380).properties(name="odd"))
    layers.append(base(every).mark_point(filled=True, size=95).properties(name="read"))
    late = [one for one in every if one.is_late]
    if late:
        layers.append(base(late).mark_text(text="[   ]", dy=-1).properties(name="late"))
    amended = [one for one in every if one.is_amended]
    if amended:
        layers.append(base(amended).mark_text(text="=", dy=12).properties(name="amended"))
    return layers


def _events(alt: Any, asked: GaugeChart) -> Sequence[Any]:
    if not asked.events:
        return ()
    base = _data(alt, asked.events).encode(x=_x(alt, asked))
    rule = base.mark_rule().properties(name="ev")
    disc = base.mark_point(filled=True, size=230).encode(y=alt.value(-13)).properties(name="evd")
    words = base.mark_text(dy=0).encode(y=alt.value(-13), text="number:Q").properties(name="evn")
    return rule, disc, words


def _kept_back(alt: Any, asked: GaugeChart) -> Sequence[Any]:
    if asked.kept_back is None or asked.kept_back <= _lowest(asked):
        return ()
    row = alt.Chart(alt.InlineData(values=[{"low": _lowest(asked), "high": asked.kept_back}]))
    tint = row.mark_rect().encode(y=_y(alt, asked, "low"), y2="high:Q").properties(name="keep")
    words = (
        row.mark_text(text="kept back", align="left", baseline="bottom", dx=6, dy=-3)
        .encode(x=alt.value(0), y=_y(alt, asked, "low"))
        .properties(name="keept")
    )
    return tint, words

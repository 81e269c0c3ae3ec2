"""The output tests of a vaporizer over the years: dots, their line with its band, the limit."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from ullage.answers.service import Drift, ErrorOn, drift_of
from ullage.web.service.selectors import Trend
from ullage.web.shared.charts import themed

__all__ = ["TrendDrawn", "trend_drawn"]

_STEPS = 40
_MOST_AHEAD = timedelta(days=3 * 365)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendDrawn:
    """The drawing with its result in words, and the same in numbers."""

    svg: str
    label: str
    rows: tuple[tuple[date, str, bool], ...]


def trend_drawn(trend: Trend, today: date) -> TrendDrawn | None:
    """Draw the tests; none where there is none."""
    tests = (*trend.earlier, *trend.tests)
    if not tests:
        return None
    label = f"{trend.trend.sentence} {trend.forecast.sentence}"
    rows = [(one.at, f"{100 * one.error_share:+.1f} %", False) for one in trend.earlier]
    rows += [(one.at, f"{100 * one.error_share:+.1f} %", True) for one in trend.tests]
    return TrendDrawn(svg=_svg(trend, today, label), label=label, rows=tuple(rows))


def _svg(trend: Trend, today: date, label: str) -> str:
    import altair as alt

    drift = drift_of(trend.tests)
    first = min(one.at for one in (*trend.earlier, *trend.tests))
    last = max(today, first) + timedelta(days=60)
    if drift is not None:
        last = today + _ahead(trend)
    axes = _Axes(alt, first, last)
    layers = [*_limits(axes, trend), *_line(axes, drift, trend.tests)]
    layers += [
        _dots(axes, trend.earlier, "old", filled=False),
        _dots(axes, trend.tests, "read", filled=True),
        axes.rule([{"at": _stamp(today)}], "now"),
    ]
    whole = alt.layer(*layers).properties(width=300, height=190)
    whole = whole.configure_view(stroke=None).configure(background="transparent")
    return themed(whole.to_dict(validate=False), label)


def _ahead(trend: Trend) -> timedelta:
    """As far as the forecast, within three years; a year where there is none."""
    days = trend.forecast.value
    wanted = timedelta(days=365) if days is None else timedelta(days=days + 120)
    return min(max(wanted, timedelta(days=180)), _MOST_AHEAD)


class _Axes:
    """Both axes, shared by every layer."""

    def __init__(self, alt: Any, first: date, last: date) -> None:
        self.alt, self.first, self.last = alt, first, last
        start = first - timedelta(days=60)
        self.x = alt.X(
            "at:T",
            title=None,
            scale=alt.Scale(type="utc", domain=[_stamp(start), _stamp(last)], nice=False),
            axis=alt.Axis(format="%b %Y", tickCount=4, labelOverlap="greedy", labelSeparation=16),
        )

    def y(self, field: str) -> Any:
        """How far off, in per cent of the dial."""
        axis = self.alt.Axis(
            title="% of the dial",
            titleAngle=0,
            titleAlign="left",
            titleAnchor="end",
            titleX=-34,
            titleY=-12,
            tickCount=6,
            labelExpr="datum.value == 0 ? '0' : format(datum.value, '+~g')",
        )
        return self.alt.Y(f"{field}:Q", scale=self.alt.Scale(zero=True, nice=True), axis=axis)

    def data(self, rows: list[dict[str, Any]]) -> Any:
        """Rows on the axis of time."""
        return self.alt.Chart(self.alt.InlineData(values=rows)).encode(x=self.x)

    def rule(self, rows: list[dict[str, Any]], name: str) -> Any:
        """A line from top to bottom."""
        return self.data(rows).mark_rule().properties(name=name)


def _stamp(at: date) -> str:
    return f"{at.isoformat()}T00:00:00Z"


def _dots(axes: _Axes, tests: tuple[ErrorOn, ...], name: str, *, filled: bool) -> Any:
    rows = [{"at": _stamp(one.at), "value": 100 * one.error_share} for one in tests]
    base = axes.data(rows).encode(y=axes.y("value"))
    return base.mark_point(filled=filled, size=95).properties(name=name)


def _line(axes: _Axes, drift: Drift | None, tests: tuple[ErrorOn, ...]) -> list[Any]:
    """The line of the tests and its band, from the first of them to the end of the drawing."""
    if drift is None:
        return []
    first, last = min(one.at for one in tests).toordinal(), axes.last.toordinal()
    days = [first + (last - first) * one / _STEPS for one in range(_STEPS + 1)]
    rows = [
        {
            "at": _stamp(date.fromordinal(round(day))),
            "middle": 100 * drift.line(day),
            "low": 100 * (drift.line(day) - drift.half(day)),
            "high": 100 * (drift.line(day) + drift.half(day)),
        }
        for day in days
    ]
    base = axes.data(rows)
    # Altair takes colour names only; the drawing is not validated, the pattern is in the page.
    band = base.mark_area(clip=True).encode(y=axes.y("low"), y2="high:Q").properties(name="band")
    line = base.mark_line(clip=True).encode(y=axes.y("middle")).properties(name="pred")
    return [band, line]


def _limits(axes: _Axes, trend: Trend) -> list[Any]:
    """The limit on both sides; its words stand under the drawing."""
    if trend.limit is None:
        return []
    share = 100 * trend.limit.of_dial_share
    chart = axes.alt.Chart(axes.alt.InlineData(values=[{"value": share}, {"value": -share}]))
    return [chart.mark_rule().encode(y=axes.y("value")).properties(name="lim")]

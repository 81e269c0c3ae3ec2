"""The level of one gas over the day: its band at the work and in the room, and the limit."""

from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from ullage.answers import Zone
from ullage.answers.exposure_air import AirOfDay, air_of_day
from ullage.answers.words import figure, span
from ullage.reference.exposure_limits import exposure_limit
from ullage.web.exposure.reckoned import GasDay, RoomDay
from ullage.web.shared.charts import themed

__all__ = ["GasDrawn", "gas_drawn"]

#: Levels below this are drawn on the floor of the chart, which counts in tens.
_FLOOR_PPM = 0.01
#: Minutes that are drawn as one: the least and the most within them.
_BIN_MIN = 3
_HOUR = 60 // _BIN_MIN


@dataclass(frozen=True, slots=True, kw_only=True)
class GasDrawn:
    """The drawing, its result in words, and the same in numbers by the hour."""

    svg: str
    label: str
    rows: tuple[tuple[str, str, str], ...]


def gas_drawn(found: RoomDay, gas: GasDay) -> GasDrawn | None:
    """Draw one gas of a day; None where the room is not known."""
    if found.air.question:
        return None
    air = air_of_day(found.air, found.escapes, gas.agent)
    rows = _rows(found, air)
    limit = exposure_limit(gas.limit).level_ppm(gas.agent) if gas.limit else None
    label = f"{gas.answers['peak'].sentence} {gas.answers['day'].sentence}"
    return GasDrawn(svg=_svg(rows, limit, label), label=label, rows=_table(rows))


def _rows(found: RoomDay, air: AirOfDay) -> list[dict[str, Any]]:
    """Least and most of both places in each stretch of some minutes, on the clock of the place."""
    work, room = (air.band(zone) for zone in (Zone.WORK, Zone.ROOM))
    rows = []
    for first in range(0, air.times_min.size - 1, _BIN_MIN):
        some = slice(first, first + _BIN_MIN)
        at = found.bounds.moment_of(float(air.times_min[first]))
        rows.append(
            {
                "at": timezone.localtime(at).replace(tzinfo=None),
                "low": float(work[0][some].min()),
                "high": float(work[1][some].max()),
                "room_low": float(room[0][some].min()),
                "room_high": float(room[1][some].max()),
            }
        )
    return _until_clean(rows)


def _until_clean(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The day until half an hour after everything lies on the floor of the chart."""
    last = max((at for at, one in enumerate(rows) if one["high"] > _FLOOR_PPM), default=0)
    return rows[: max(last + 1, _HOUR) + _HOUR // 2]


def _table(rows: list[dict[str, Any]]) -> tuple[tuple[str, str, str], ...]:
    """The highest of each hour, in words."""
    found = []
    for first in range(0, len(rows), _HOUR):
        hour = rows[first : first + _HOUR]
        work, room = (
            span(max(one[low] for one in hour), max(one[high] for one in hour), "ppm")
            for low, high in (("low", "high"), ("room_low", "room_high"))
        )
        found.append((f"{hour[0]['at']:%H:%M}", work, room))
    return tuple(found)


def _svg(rows: list[dict[str, Any]], limit: float | None, label: str) -> str:
    import altair as alt

    most = max([one["high"] for one in rows] + [limit or 0.0, 10.0 * _FLOOR_PPM])
    drawn = [
        {
            "at": f"{one['at']:%Y-%m-%dT%H:%M:%SZ}",
            **{key: max(one[key], _FLOOR_PPM) for key in one if key != "at"},
        }
        for one in rows
    ]
    axes = _Axes(alt, drawn, 1.6 * most)
    layers = [
        axes.band("room_low", "room_high", "room"),
        axes.band("low", "high", "band"),
        *(axes.limit(limit) if limit else ()),
    ]
    whole = alt.layer(*layers).properties(width=300, height=200)
    whole = whole.configure_view(stroke=None).configure(background="transparent")
    return themed(whole.to_dict(validate=False), label)


class _Axes:
    """Both axes, shared by every layer; levels count in tens."""

    def __init__(self, alt: Any, rows: list[dict[str, Any]], most: float) -> None:
        self.alt, self.rows = alt, rows
        self.x = alt.X(
            "at:T",
            title=None,
            scale=alt.Scale(type="utc", nice=False),
            axis=alt.Axis(format="%H:%M", tickCount=5, labelFlush=False, labelFontSize=13),
        )
        self.scale = alt.Scale(type="log", domain=[_FLOOR_PPM, most], clamp=True, nice=False)

    def y(self, field: str) -> Any:
        """The axis of levels."""
        axis = self.alt.Axis(
            title="ppm",
            titleAngle=0,
            titleAlign="left",
            titleAnchor="end",
            titleX=-34,
            titleY=-12,
            format="~g",
            values=[0.01, 0.1, 1, 10, 100, 1000, 10_000],
        )
        return self.alt.Y(f"{field}:Q", scale=self.scale, axis=axis)

    def band(self, low: str, high: str, name: str) -> Any:
        """Least to most over the day."""
        base = self.alt.Chart(self.alt.InlineData(values=self.rows)).encode(x=self.x)
        return base.mark_area().encode(y=self.y(low), y2=f"{high}:Q").properties(name=name)

    def limit(self, level_ppm: float) -> tuple[Any, Any]:
        """The limit of the site, with words."""
        data = self.alt.InlineData(values=[{"level": level_ppm}])
        line = self.alt.Chart(data).mark_rule().encode(y=self.y("level"))
        words = self.alt.Chart(data).mark_text(
            text=f"limit {figure(level_ppm)} ppm", align="right", baseline="bottom", dx=-4, dy=-3
        )
        placed = words.encode(x=self.alt.value(300), y=self.y("level"))
        return line.properties(name="lim"), placed.properties(name="ltxt")
